# SPDX-License-Identifier: MIT
"""The server under load, on SQLite and on PostgreSQL: 20 clients that ask without pause, and 20 that send.

ledger.py                     20 jobs, a few seconds each
ledger.py --jobs 2000         2 000 jobs, 100 000 tests, 1 000 000 events: some ten minutes to fill
ledger.py --soak              10 000 random schedules, 50 rounds of kill -9 of the server and of PostgreSQL
"""

from __future__ import annotations

import argparse
import http.client
import json
import os
import random
import subprocess
import sys
import tempfile
import threading
import time
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT)]

from _ledger_data import events_of_a_job  # noqa: E402

from tests.record.schedules import check_schedule  # noqa: E402
from tests.web.live import PASSWORD, Client, Server, postgres  # noqa: E402
from tests.web.rounds import kill_rounds  # noqa: E402

CLIENTS = 20
LIST = 50  # events a device sends at once
TARGETS = {"first answer": 1.0, "p95": 0.100, "sync p99": 0.500, "sync rate": 2_000.0}


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--jobs", type=int, default=20)
    parser.add_argument("--seconds", type=float, default=3)
    parser.add_argument("--soak", action="store_true")
    options, _ = parser.parse_known_args()
    met = [soak()] if options.soak else []
    with tempfile.TemporaryDirectory(prefix="brackish-bench-") as folder:
        met.append(measure("SQLite", Server(Path(folder) / "sqlite"), options))
        with postgres(Path(folder) / "postgres") as base:
            met.append(measure("PostgreSQL", Server(Path(folder) / "data", database=base.database("bench")), options))
    return 0 if all(met) else 1


def measure(name: str, server: Server, options: argparse.Namespace) -> bool:
    """Fill, start, read and send; whether every target was met."""
    print(f"\n{name}, {options.jobs} jobs", flush=True)
    fill = [sys.executable, str(ROOT / "benchmarks" / "_ledger_data.py"), str(options.jobs)]
    started = time.monotonic()
    server.folder.mkdir(parents=True)
    subprocess.run(fill, env=server.environment() | {"BENCH_PASSWORD": PASSWORD}, check=True, cwd=ROOT)
    print(f"  filled and judged in {time.monotonic() - started:.1f} s")
    met = [_line("start to first answer", server.start(), TARGETS["first answer"])]
    server.link = ""
    try:
        cookie = _cookie(server)
        jobs = [str(uuid.UUID(int=number + 1)) for number in range(options.jobs)]
        for what, path in {"job list": "/api/v1/jobs?find=pell", "job": "/api/v1/jobs/{job}", "outcome": "/api/v1/jobs/{job}/outcome"}.items():
            times, rate = _closed_loop(server, cookie, lambda chance, path=path: path.format(job=chance.choice(jobs)), options.seconds)
            met.append(_line(f"{what}: p95 of {len(times)} at {rate:.0f}/s, p50 {_quantile(times, 0.5) * 1e3:.0f} ms", _quantile(times, 0.95), TARGETS["p95"]))
        met.append(_sync(server))
    finally:
        server.stop()
    return all(met)


def _closed_loop(server: Server, cookie: str, path: Callable[[random.Random], str], seconds: float) -> tuple[list[float], float]:
    """Every client asks again as soon as it is answered; the times, sorted, and answers a second."""
    times: list[list[float]] = [[] for _ in range(CLIENTS)]
    until = time.monotonic() + seconds

    def ask(number: int) -> None:
        chance, connection = random.Random(number), http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
        while time.monotonic() < until:
            started = time.monotonic()
            connection.request("GET", path(chance), headers={"Cookie": cookie})
            answer = connection.getresponse()
            answer.read()
            assert answer.status == 200, answer.status
            times[number].append(time.monotonic() - started)

    _together(ask)
    every = sorted(each for one in times for each in one)
    return every, len(every) / seconds


def _sync(server: Server) -> bool:
    """Twenty devices come back into the network, each with a job of its own to send; until all is judged."""
    clients = [Client(server.address, timeout=120) for _ in range(CLIENTS)]
    clients[0].sign_in("owner", PASSWORD)
    jobs, times = [str(uuid.uuid4()) for _ in range(CLIENTS)], list[float]()
    for client, job in zip(clients, jobs, strict=True):
        client._opener, client._mark = clients[0]._opener, clients[0]._mark
        client.call("POST", "/jobs", {"id": job})
    lists = [_lists([event.to_dict() for event in events_of_a_job(job, author="owner", device="phone")]) for job in jobs]
    lists = [[json.dumps(each).encode() for each in one] for one in (list(one) for one in lists)]
    total, cookie, mark = 0, _cookie(server), clients[0]._mark

    def send(number: int) -> None:
        connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=120)
        for body in lists[number]:
            begun = time.monotonic()
            headers = {"Cookie": cookie, "X-CSRFToken": mark, "Content-Type": "application/json"}
            connection.request("POST", f"/api/v1/jobs/{jobs[number]}/events", body=body, headers=headers)
            answer = connection.getresponse()
            states = [each["state"] for each in json.loads(answer.read())["events"]]
            assert set(states) == {"stored"}, states
            times.append(time.monotonic() - begun)

    cookie, mark = _session(server)
    started = time.monotonic()
    _together(send)
    sent = time.monotonic() - started
    for job in jobs:
        assert clients[0].call("GET", f"/jobs/{job}/outcome")["job"]["verdict"]
    taken = time.monotonic() - started
    total = sum(len(json.loads(body)) for one in lists for body in one)
    print(f"  sync: {total} events in lists of {LIST}: acknowledged at {total / sent:.0f}/s, p50 {_quantile(sorted(times), 0.5) * 1e3:.0f} ms")
    met = [_line("sync: p99 of a list", _quantile(sorted(times), 0.99), TARGETS["sync p99"])]
    rate = total / taken
    print(
        f"  {'sync: events a second, all judged':<60} {rate:8.0f} /s   asked: over {TARGETS['sync rate']:g}{'' if rate > TARGETS['sync rate'] else '   NOT MET'}"
    )
    return all(met) and rate > TARGETS["sync rate"]


def _lists(events: list[dict[str, object]]) -> Iterator[list[dict[str, object]]]:
    for start in range(0, len(events), LIST):
        yield events[start : start + LIST]


def _together(work: Callable[[int], None]) -> None:
    faults: list[BaseException] = []

    def guarded(number: int) -> None:
        try:
            work(number)
        except BaseException as fault:
            faults.append(fault)

    threads = [threading.Thread(target=guarded, args=(number,)) for number in range(CLIENTS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if faults:
        raise faults[0]


def _session(server: Server) -> tuple[str, str]:
    """The cookie and the CSRF mark of a session."""
    connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
    connection.request("GET", "/api/v1/session")
    answer = connection.getresponse()
    mark = json.loads(answer.read())["csrf_token"]
    cookies = dict(each.split(";")[0].strip().split("=", 1) for each in answer.headers.get_all("Set-Cookie") or [])
    headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in cookies.items()), "X-CSRFToken": mark, "Content-Type": "application/json"}
    connection.request("POST", "/api/v1/session", body=json.dumps({"name": "owner", "password": PASSWORD}), headers=headers)
    answer = connection.getresponse()
    mark = json.loads(answer.read())["csrf_token"]
    cookies |= dict(each.split(";")[0].strip().split("=", 1) for each in answer.headers.get_all("Set-Cookie") or [])
    return "; ".join(f"{name}={value}" for name, value in cookies.items()), mark


def _cookie(server: Server) -> str:
    return _session(server)[0]


def _quantile(times: list[float], part: float) -> float:
    return times[min(len(times) - 1, int(part * len(times)))]


def _line(what: str, taken: float, target: float) -> bool:
    met = taken <= target
    print(f"  {what:<60} {taken * 1e3:8.0f} ms   asked: under {target * 1e3:g}{'' if met else '   NOT MET'}", flush=True)
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
