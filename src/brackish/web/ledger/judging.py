# SPDX-License-Identifier: MIT
"""Judging soon after events came in, without letting their sender wait.

An event is acknowledged when it is stored. Each server process has a judge beside it, a process of its
own, that is told which jobs changed and waits until a job is quiet: a device that comes back into the
network sends list after list, and only what the last one gives is worth judging. Nothing hangs on the
judge: a reader who comes first judges, and what a killed one left behind is found when the next one
starts. It ends when the server's end of the pipe closes, however that came about.
"""

from __future__ import annotations

import contextlib
import logging
import os
import subprocess
import sys
import threading
import time

QUIET = 0.5  # seconds without events after which a job is judged
READER = "reader "  # begins a line about a job that a reader judges
LATEST = 5.0  # seconds after which it is judged although events keep coming
log = logging.getLogger("brackish.web")


class _Judge:
    """This process's judge: started with the first change, and again if it should have ended."""

    def __init__(self) -> None:
        self._lock, self._process = threading.Lock(), None

    def tell(self, job: str) -> None:
        with self._lock:
            for _ in range(2):
                if self._process is None or self._process.poll() is not None:
                    self._process = subprocess.Popen([sys.executable, "-m", __name__], stdin=subprocess.PIPE, env=os.environ)
                try:
                    self._write(job)
                    return
                except BrokenPipeError:
                    self._process = None

    def spare(self, job: str) -> None:
        """A judge that is gone, or at this job already, hears it in vain."""
        with self._lock, contextlib.suppress(BrokenPipeError):
            if self._process is not None:
                self._write(READER + job)

    def _write(self, line: str) -> None:
        assert self._process is not None and self._process.stdin is not None
        self._process.stdin.write(f"{line}\n".encode())
        self._process.stdin.flush()

    _process: subprocess.Popen[bytes] | None


_judge = _Judge()


def events_came(job: str) -> None:
    """See to it that a job is judged: soon, or at once where the settings say so (tests)."""
    from django.conf import settings

    if settings.JUDGE_AT_ONCE:
        _refresh(job)
    else:
        _judge.tell(job)


def reader_judges(job: str) -> None:
    """Let the judge work on another job than the one that a reader is about to judge."""
    _judge.spare(job)


class _Waiting:
    """Jobs to judge, each once and when it is due; when no more will come, all of them are."""

    def __init__(self) -> None:
        self._due: dict[str, float] = {}
        self._latest: dict[str, float] = {}
        self._changed, self._ended = threading.Condition(), False

    def add(self, job: str) -> None:
        with self._changed:
            now = time.monotonic()
            self._due[job] = min(now + QUIET, self._latest.setdefault(job, now + LATEST))
            self._changed.notify()

    def drop(self, job: str) -> None:
        with self._changed:
            self._due.pop(job, None)
            self._latest.pop(job, None)

    def end(self) -> None:
        with self._changed:
            self._ended = True
            self._changed.notify()

    def take(self) -> str | None:
        """The next job; None when there will be no more."""
        with self._changed:
            while not self._ended and (not self._due or min(self._due.values()) > time.monotonic()):
                self._changed.wait(min(self._due.values()) - time.monotonic() if self._due else None)
            if not self._due:
                return None
            job = min(self._due, key=self._due.__getitem__)
            del self._due[job], self._latest[job]
            return job


def main() -> None:
    """Judge what was left behind, then whatever job stands on the next line."""
    import django

    if hasattr(os, "nice"):
        os.nice(10)  # whoever waits for an answer goes first
    django.setup()
    from django.db import DatabaseError, close_old_connections

    from brackish.web.ledger.turns import claim

    waiting = _Waiting()
    threading.Thread(target=_listen, args=(waiting,), daemon=True).start()
    for job in left_behind():
        waiting.add(job)
    while (changed := waiting.take()) is not None:
        try:
            close_old_connections()
            with claim(changed) as mine:
                if mine:
                    _refresh(changed)
                else:
                    waiting.add(changed)  # looked at again when the other judge is through
        except DatabaseError:  # the next reader meets it, and is told
            log.exception("job %s could not be judged", changed)


def left_behind() -> list[str]:
    """The jobs whose events were never judged: the work of a process that was killed."""
    from django.db.models import F

    from brackish.web import models

    return list(models.Job.objects.exclude(judged_events=F("events"), judged_head=F("head")).order_by("changed").values_list("id", flat=True))


def _listen(waiting: _Waiting) -> None:
    for line in map(str.strip, sys.stdin):
        if line.startswith(READER):
            waiting.drop(line.removeprefix(READER))
        else:
            waiting.add(line)
    waiting.end()


def _refresh(job: str) -> None:
    from brackish.web import models
    from brackish.web.ledger.outcomes import is_current, refresh

    row = models.Job.objects.get(id=job)
    if not is_current(row):  # a reader may have come first
        refresh(row)


if __name__ == "__main__":
    main()
