# SPDX-License-Identifier: MIT
"""The server as a process: its start, the client example, kill -9 under load, a disk that is full."""

from __future__ import annotations

import random
import resource
import socket
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from brackish.errors import InputError
from brackish.report.seal import verify
from brackish.web.serve import claim
from tests.web.live import ROOT, Server, postgres
from tests.web.rounds import kill_rounds
from tests.web.writing import JOB, Writer, footbridge

pytestmark = pytest.mark.slow

ROUNDS = 5  # 50 in the soak: benchmarks/ledger.py --soak


@pytest.fixture
def server(tmp_path):
    server = Server(tmp_path / "data")
    server.start()
    yield server
    server.stop()


def test_client_example_goes_from_nothing_to_a_signed_report(server, tmp_path):
    import brackish

    command = [sys.executable, str(ROOT / "examples/client/walk.py"), server.address, server.link, "-o", str(tmp_path / "report.pdf")]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, cwd=ROOT)
    assert done.returncode == 0, done.stderr
    assert "3. In conflict: test/T2/facts/reading" in done.stdout
    assert "5. Judged: pass" in done.stdout
    server.stop()
    found = verify((tmp_path / "report.pdf").read_bytes(), evaluate=lambda job: brackish.evaluate(job).to_dict())
    assert found["consistent"], found
    fingerprint = done.stdout.split("6. Signed by ruth, key ")[1].splitlines()[0]
    assert {
        "name": "signature of ruth",
        "ok": True,
        "detail": f"Ruth Alder as owner, key {fingerprint}: signed exactly this job and outcome",
        "key": fingerprint,
    } in found["checks"]
    checked = server.command("check")
    assert (checked.returncode, checked.stdout) == (0, "1 jobs made again from their events; 1 agree with what is kept, 0 do not.\n")


def test_ledger_commands_carry_a_job_to_another_server(server, tmp_path):
    owner = server.owner()
    owner.call("POST", "/jobs", {"id": JOB})
    owner.call("POST", f"/jobs/{JOB}/events", [event.to_dict() for event in Writer("owner", "desk").document(footbridge())])
    file = tmp_path / "job.zip"
    assert server.command("export", JOB, "-o", str(file)).returncode == 0
    other = Server(tmp_path / "other")
    brought = other.command("import", str(file))
    assert (brought.returncode, "0 refused" in brought.stdout) == (0, True), brought.stderr
    assert other.command("export", JOB, "-o", str(tmp_path / "again.zip")).returncode == 0
    assert (tmp_path / "again.zip").read_bytes() == file.read_bytes()
    assert other.command("export", "nothing", "-o", "x").returncode == 2


def test_job_is_judged_soon_without_a_reader(server):
    owner = server.owner()
    owner.call("POST", "/jobs", {"id": JOB})
    owner.call("POST", f"/jobs/{JOB}/events", [event.to_dict() for event in Writer("owner", "desk").document(footbridge())])
    deadline = time.monotonic() + 20
    while (verdict := owner.call("GET", "/jobs")["jobs"][0]["verdict"]) == "" and time.monotonic() < deadline:
        time.sleep(0.05)
    assert verdict == "pass"


def test_port_that_is_held_but_answers_nobody_is_no_running_server():
    with socket.create_server(("127.0.0.1", 0)) as silent:
        claim(host="127.0.0.1", port=silent.getsockname()[1])
    with pytest.raises(InputError, match="from 0 to 65535"):
        claim(host="127.0.0.1", port=99_999)


@pytest.mark.parametrize("command", ["serve", "demo"])
def test_port_at_which_somebody_answers_is_refused_and_nothing_of_a_running_demo_is_lost(server, tmp_path, command):
    kept = tmp_path / "demo" / "ledger.sqlite3"
    kept.parent.mkdir()
    kept.write_text("of the demo that runs")
    port = server.address.rsplit(":", 1)[1]
    more = ["--output", str(tmp_path)] if command == "demo" else []
    done = subprocess.run(
        [sys.executable, "-m", "brackish", command, "--port", port, *more], env=server.environment(), cwd=ROOT, capture_output=True, text=True, timeout=60
    )
    assert (done.returncode, kept.read_text()) == (2, "of the demo that runs")
    assert f"Nothing can be served at 127.0.0.1:{port}: somebody answers there already" in done.stderr


def test_killed_server_keeps_every_acknowledged_event(server):
    assert kill_rounds(server, rounds=ROUNDS, kill=server.kill, restart=server.start, chance=random.Random(1)) > 10 * ROUNDS


def test_killed_postgresql_keeps_every_acknowledged_event(tmp_path):
    with postgres() as base:
        server = Server(tmp_path / "data", database=base.database("kill"))
        server.start()
        try:
            assert kill_rounds(server, rounds=ROUNDS, kill=base.kill, restart=base.start, chance=random.Random(2)) > 10 * ROUNDS
        finally:
            server.stop()


def test_servers_that_start_at_once_make_the_tables_once(tmp_path):
    with postgres() as base:
        servers = [Server(tmp_path / f"data{number}", database=base.database("start")) for number in range(3)]
        try:
            with ThreadPoolExecutor() as pool:
                assert all(pool.map(Server.start, servers))
        finally:
            for server in servers:
                server.stop()


def test_two_servers_on_one_postgresql_agree(tmp_path):
    with postgres() as base:
        url = base.database("team")
        one, two = Server(tmp_path / "data", database=url), Server(tmp_path / "data2", database=url)
        one.start()
        owner = one.owner()
        (tmp_path / "data2").mkdir()
        (tmp_path / "data2" / "secret-key").write_text((tmp_path / "data" / "secret-key").read_text())
        two.start()
        try:
            owner.call("POST", "/jobs", {"id": JOB})
            events = [event.to_dict() for event in Writer("owner", "desk").document(footbridge(tests=3))]
            there = two.owner()
            for number in range(0, len(events), 10):  # in turn, so that each finds what the other stored
                (owner if number % 20 else there).call("POST", f"/jobs/{JOB}/events", events[number : number + 10])
            assert owner.call("GET", f"/jobs/{JOB}/outcome") == there.call("GET", f"/jobs/{JOB}/outcome")
            assert owner.call("GET", f"/jobs/{JOB}")["events"] == len(events)
        finally:
            one.stop()
            two.stop()


def test_full_disk_refuses_and_loses_nothing(tmp_path):
    def small() -> None:  # no file of the server may grow past this: what a full disk does, for one process
        resource.setrlimit(resource.RLIMIT_FSIZE, (900_000, 900_000))

    server = Server(tmp_path / "data")
    server.start()
    owner = server.owner()
    owner.call("POST", "/jobs", {"id": JOB})
    server.stop()
    server.before = small
    server.start()
    writer, acknowledged, refused = Writer("owner", "desk"), [], None
    owner = server.owner()
    for number in range(200):
        events = [writer.set(("job", f"x-{number}-{each}"), "x" * 5_000) for each in range(10)]
        try:
            answers = owner.call("POST", f"/jobs/{JOB}/events", [event.to_dict() for event in events])["events"]
        except Exception as error:
            refused = error
            break
        acknowledged += [answer["id"] for answer in answers if answer["state"] == "stored"]
    assert getattr(refused, "status", None) == 503, refused
    assert refused.errors[0]["code"] == "server.storage"
    server.stop()
    server.before = None
    server.start()
    owner = server.owner()
    stored = {each["event"]["id"] for each in owner.call("GET", f"/jobs/{JOB}/events")["events"]}
    assert set(acknowledged) <= stored
    assert owner.call("POST", f"/jobs/{JOB}/events", [event.to_dict() for event in events])["events"][0]["state"] in ("stored", "known")
    assert server.command("check").returncode == 0
    server.stop()


def test_database_that_cannot_be_used_is_said_in_one_line(tmp_path):
    command = [sys.executable, "-m", "brackish", "serve", "--port", "1"]
    environment = Server(tmp_path, database="postgresql://nobody@127.0.0.1:1/nothing").environment()
    done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=60, cwd=ROOT)
    assert done.returncode == 2
    assert "DATABASE_URL" in done.stderr
    assert "Traceback" not in done.stderr
