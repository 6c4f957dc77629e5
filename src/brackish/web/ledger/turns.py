# SPDX-License-Identifier: MIT
"""Turns between processes: who writes to SQLite, who makes the tables, and who judges a job.

The system keeps them, so they end with the process that holds them, however it ends. Nothing is wrong
without them: SQLite and PostgreSQL keep their own order, and two judges write the same bytes.
"""

from __future__ import annotations

import sys
import threading
import zlib
from collections.abc import Iterator
from contextlib import contextmanager

from django.conf import settings
from django.db import connection

if sys.platform != "win32":
    import fcntl

STARTING = zlib.crc32(b"brackish starts")
_here = threading.Lock()  # Windows: turns within this process only


@contextmanager
def one_writer() -> Iterator[None]:
    """SQLite takes one writer and lets the others knock at growing intervals, some for seconds; here they stand in line."""
    if connection.vendor != "sqlite":
        yield
    elif sys.platform == "win32":
        with _here:
            yield
    else:
        with (settings.DATA / "one-writer").open("ab") as file:
            fcntl.flock(file, fcntl.LOCK_EX)
            yield


@contextmanager
def one_starter() -> Iterator[None]:
    """Of the servers that start at once on one database, one makes the tables; the others wait and find them."""
    if connection.vendor != "postgresql":
        with one_writer():
            yield
        return
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_lock(%s)", [STARTING])
        try:
            yield
        finally:
            cursor.execute("SELECT pg_advisory_unlock(%s)", [STARTING])


@contextmanager
def claim(job: str) -> Iterator[bool]:
    """Whether a job is this judge's: not in the hands of the judge of another server process."""
    with (settings.DATA / "judging").open("ab") as file:
        yield _locked(file.fileno(), zlib.crc32(job.encode()))


def _locked(file: int, place: int) -> bool:
    if sys.platform == "win32":
        return True
    try:
        fcntl.lockf(file, fcntl.LOCK_EX | fcntl.LOCK_NB, 1, place)
    except OSError:
        return False
    return True
