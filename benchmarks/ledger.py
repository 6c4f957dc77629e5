# SPDX-License-Identifier: MIT
"""The server under load, on SQLite and on PostgreSQL: 20 clients that ask without pause, and 20 that send.

ledger.py                     20 jobs, a few seconds each
ledger.py --jobs 2000         2 000 jobs, 100 000 tests, 1 200 000 events: a quarter of an hour to fill each
ledger.py --keep FOLDER       fill it once, measure it again and again
ledger.py --on sqlite         one of the two
ledger.py --soak              10 000 random schedules, 50 rounds of kill -9 of the server and of PostgreSQL
"""

from __future__ import annotations

import argparse
import contextlib
import http.cookiejar
import json
import os
import random
import subprocess
import sys
import tempfile
import time
import urllib.request
import uuid
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT)]

import psutil  # noqa: E402
from _ledger_data import events_of_a_job  # noqa: E402
from _load import closed_loop, get, post, quantile  # noqa: E402

from tests.record.schedules import check_schedule  # noqa: E402
from tests.web.live import PASSWORD, Client, Server, postgres  # noqa: E402
from tests.web.rounds import kill_rounds  # noqa: E402

CLIENTS = 20
LIST = 50  # events a device sends at once
TARGETS = {"first answer": 1.0, "p95": 0.100, "sync p99": 0.500, "sync rate": 2_000.0}
READ = {"job list": "/api/v1/jobs?find=pell", "job": "/api/v1/jobs/{job}", "outcome": "/api/v1/jobs/{job}/outcome"}


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--jobs", type=int, default=20)
    parser.add_argument("--seconds", type=float, default=3)
    parser.add_argument("--keep", type=Path, help="folder of filled ledgers; made and filled where it is not")
    parser.add_argument("--on", choices=["sqlite", "postgres"], help="one of the two")
    parser.add_argument("--soak", action="store_true")
    options, _ = parser.parse_known_args()
    met = [soak()] if options.soak else []
    for name in ["sqlite", "postgres"] if options.on is None else [options.on]:
        with filled_server(name, options.jobs, options.keep) as server:
            met.append(measure(server, options))
    return 0 if all(met) else 1


@contextlib.contextmanager
def filled_server(name: str, jobs: int, keep: Path | None) -> Iterator[Server]:
    """A server over a ledger of so many jobs, not started yet; thrown away afterwards unless there is a folder to keep it."""
    with contextlib.ExitStack() as stack:
        folder = (keep or Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="brackish-bench-")))) / name
        folder.mkdir(parents=True, exist_ok=True)
        database = ""
        if name == "postgres":
            database = stack.enter_context(postgres(folder / "cluster")).database("bench")
        server = Server(folder, database=database)
        print(f"\n{name}, {jobs} jobs; load before: {os.getloadavg()[0]:.1f}, a million squares in {pace() * 1e3:.0f} ms", flush=True)
        fill, started = [sys.executable, str(ROOT / "benchmarks" / "_ledger_data.py"), str(jobs)], time.monotonic()
        subprocess.run(fill, env=server.environment() | {"BENCH_PASSWORD": PASSWORD}, check=True, cwd=ROOT)
        print(f"  filled and judged in {time.monotonic() - started:.1f} s", flush=True)
        yield server


def pace() -> float:
    """Seconds of a core for a million squares: how quick this machine is just now, which on a shared one changes by half."""
    started = time.process_time()
    sum(number * number for number in range(1_000_000))
    return time.process_time() - started


def measure(server: Server, options: argparse.Namespace) -> bool:
    """Start, read and send; whether every target was met."""
    met = [_line("start to first answer", server.start(), TARGETS["first answer"])]
    try:
        cookie, _ = session(server)
        for what, path in READ.items():
            met.append(read(server, cookie, what, [path.format(job=job) for job in job_names(options.jobs)], options.seconds))
        met.append(_sync(server))
    finally:
        server.stop()
    print(f"  load after: {os.getloadavg()[0]:.1f}")
    return all(met)


def read(server: Server, cookie: str, what: str, paths: list[str], seconds: float, pause: float = 0) -> bool:
    """Twenty clients ask for one of these addresses after the other, in an order of their own; whether p95 is met."""
    requests, spent = [get(path, cookie) for path in paths], processor_time(server)
    times, taken = closed_loop(server.port, [_shuffled(requests, number) for number in range(CLIENTS)], seconds=seconds, pause=pause)
    spent = (processor_time(server) - spent) / len(times)
    said = f"{what}: p95 of {len(times)} at {len(times) / taken:.0f}/s, p50 {quantile(times, 0.5) * 1e3:.0f} ms, {spent * 1e3:.1f} ms of a core each"
    return _line(said, quantile(times, 0.95), TARGETS["p95"])


def processor_time(server: Server) -> float:
    """Seconds that the server's processes worked so far, without the database's: what the rest of the machine does hardly changes it."""
    assert server.process is not None
    first = psutil.Process(server.process.pid)
    return sum(sum(each.cpu_times()[:2]) for each in (first, *first.children(recursive=True)))


def _shuffled(requests: list[bytes], seed: int) -> Iterator[bytes]:
    chance = random.Random(seed)
    while True:
        yield chance.choice(requests)


def job_names(jobs: int) -> list[str]:
    return [str(uuid.UUID(int=number + 1)) for number in range(jobs)]


def _sync(server: Server) -> bool:
    """Twenty devices come back into the network, each with a job of its own to send; until all is judged."""
    cookie, mark = session(server)
    jobs = [str(uuid.uuid4()) for _ in range(CLIENTS)]
    closed_loop(server.port, [[post("/api/v1/jobs", cookie, mark, {"id": job}) for job in jobs]])
    lists = {job: list(_lists([event.to_dict() for event in events_of_a_job(job, author="owner", device="phone")])) for job in jobs}
    total = sum(len(events) for each in lists.values() for events in each)
    ready = [[post(f"/api/v1/jobs/{job}/events", cookie, mark, events) for events in each] for job, each in lists.items()]
    started, spent = time.monotonic(), processor_time(server)
    times, sent = closed_loop(server.port, ready, look=_all_stored)
    closed_loop(server.port, [[get(f"/api/v1/jobs/{job}/outcome", cookie)] for job in jobs])  # a reader waits until it is judged
    taken = time.monotonic() - started
    print(f"  sync: {total} events in lists of {LIST}: acknowledged at {total / sent:.0f}/s, p50 {quantile(times, 0.5) * 1e3:.0f} ms")
    print(f"  sync: {(processor_time(server) - spent) / total * 1e3:.2f} ms of a core an event, judging included")
    met = [_line("sync: p99 of a list", quantile(times, 0.99), TARGETS["sync p99"])]
    rate = total / taken
    print(
        f"  {'sync: events a second, all judged':<80} {rate:8.0f} /s   asked: over {TARGETS['sync rate']:g}{'' if rate > TARGETS['sync rate'] else '   NOT MET'}"
    )
    return all(met) and rate > TARGETS["sync rate"]


def _all_stored(answer: bytes) -> None:
    states = {each["state"] for each in json.loads(answer)["events"]}
    assert states == {"stored"}, states


def _lists(events: list[dict[str, object]]) -> Iterator[list[dict[str, object]]]:
    for start in range(0, len(events), LIST):
        yield events[start : start + LIST]


def session(server: Server) -> tuple[str, str]:
    """The cookies and the CSRF mark of the owner's session."""
    jar, client = http.cookiejar.CookieJar(), Client(server.address)
    client._opener.add_handler(urllib.request.HTTPCookieProcessor(jar))
    client.sign_in("owner", PASSWORD)
    return "; ".join(f"{cookie.name}={cookie.value}" for cookie in jar), client._mark


def _line(what: str, taken: float, target: float) -> bool:
    met = taken <= target
    print(f"  {what:<80} {taken * 1e3:8.0f} ms   asked: under {target * 1e3:g}{'' if met else '   NOT MET'}", flush=True)
    return met


def soak() -> bool:
    """The long form of the tests: schedules, and killing under load."""
    started = time.monotonic()
    for seed in range(10_000):
        check_schedule(random.Random(seed), devices=2 + seed % 4, steps=10 + seed % 40)
    print(f"10 000 random schedules ended in one state each ({time.monotonic() - started:.0f} s)", flush=True)
    with tempfile.TemporaryDirectory(prefix="brackish-soak-") as folder:
        server = Server(Path(folder) / "sqlite")
        server.start()
        kept = kill_rounds(server, rounds=50, kill=server.kill, restart=server.start, chance=random.Random(11))
        server.stop()
        print(f"50 times kill -9 of the server on SQLite: {kept} acknowledged events, every one there", flush=True)
        with postgres(Path(folder) / "postgres") as base:
            server = Server(Path(folder) / "data", database=base.database("soak"))
            server.start()
            kept = kill_rounds(server, rounds=50, kill=base.kill, restart=base.start, chance=random.Random(12))
            server.stop()
        print(f"50 times kill -9 of PostgreSQL: {kept} acknowledged events, every one there", flush=True)
    return True


if __name__ == "__main__":
    os.chdir(ROOT)
    raise SystemExit(main())
