# SPDX-License-Identifier: MIT
"""Rounds of killing under load: writers send without pause, and what was acknowledged must be there afterwards."""

from __future__ import annotations

import random
import threading
import time
from collections.abc import Callable

from brackish.record.event import read_event
from tests.web.live import PASSWORD, Client, Server
from tests.web.writing import JOB, Writer, footbridge


class Load:
    """Writers that send small lists to one job, and again until they are answered."""

    def __init__(self, server: Server, *, writers: int) -> None:
        self.server, self.acknowledged = server, dict[str, str]()
        self.lock, self.done = threading.Lock(), threading.Event()
        self.threads = [threading.Thread(target=self._write, args=(number,), daemon=True) for number in range(writers)]

    def __enter__(self) -> Load:
        owner = self.server.owner()
        owner.call("POST", "/jobs", {"id": JOB})
        owner.call("POST", f"/jobs/{JOB}/events", [event.to_dict() for event in Writer("owner", "desk").document(footbridge())])
        for thread in self.threads:
            thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.done.set()
        for thread in self.threads:
            thread.join(30)

    def _write(self, number: int) -> None:
        chance, writer = random.Random(number), Writer("owner", f"device {number}")
        client, waiting = None, []
        while not self.done.is_set():
            if not waiting:
                waiting = [writer.set(("job", f"x-{number}-{chance.randint(0, 9)}"), chance.randint(0, 10**6)) for _ in range(chance.randint(1, 8))]
            try:
                client = client or self._signed_in()
                answers = client.call("POST", f"/jobs/{JOB}/events", [event.to_dict() for event in waiting])["events"]
            except Exception as error:  # refused, no answer, or half of one
                if isinstance(error, AssertionError):
                    raise
                client = None if getattr(error, "status", None) == 401 else client  # who was signed in still is when the server is back
                time.sleep(0.02)
                continue
            with self.lock:
                self.acknowledged |= {answer["id"]: answer["hash"] for answer in answers if answer["state"] in ("stored", "known", "held")}
            waiting = []

    def _signed_in(self) -> Client:
        client = Client(self.server.address, timeout=10)
        client.sign_in("owner", PASSWORD)
        return client


def kill_rounds(server: Server, *, rounds: int, kill: Callable[[], None], restart: Callable[[], object], chance: random.Random, writers: int = 3) -> int:
    """Kill that many times under load; how many events were acknowledged. AssertionError when one of them is gone."""
    with Load(server, writers=writers) as load:
        for _ in range(rounds):
            before = len(load.acknowledged)
            deadline = time.monotonic() + 20
            while len(load.acknowledged) < before + 10 and time.monotonic() < deadline:
                time.sleep(0.01)
            assert len(load.acknowledged) > before, "no event was acknowledged in this round"
            time.sleep(chance.uniform(0, 0.3))
            kill()
            restart()
    stored, after, more = {}, 0, True
    client = server.owner()
    while more:
        answer = client.call("GET", f"/jobs/{JOB}/events?after={after}")
        stored |= {each["event"]["id"]: read_event(each["event"]).hash for each in answer["events"]}
        after, more = answer["next"], answer["more"]
    lost = {name for name, digest in load.acknowledged.items() if stored.get(name) != digest}
    assert not lost, f"{len(lost)} of {len(load.acknowledged)} acknowledged events are gone"
    checked = server.command("check")
    assert checked.returncode == 0, checked.stdout + checked.stderr
    return len(load.acknowledged)
