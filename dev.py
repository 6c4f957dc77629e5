#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""The one command a contributor needs; standard library only, so it runs in an empty clone.

    python3 dev.py demo            start the workspace with the example jobs
    python3 dev.py test [ARGS]     the whole test suite (ARGS go to pytest)
    python3 dev.py check           format, lint, types, guards and quick tests, in under a minute
    python3 dev.py run ARGS...     brackish ARGS... in the project's environment
    python3 dev.py bench           how fast, beside what a person would use instead
    python3 dev.py docs            write docs/reference/ from the code
    python3 dev.py lock            resolve the dependencies of pyproject.toml again

Each command first makes .venv and installs what the lock names, once. Words about that go to
standard error, so the output of `run` stays clean.
"""

from __future__ import annotations

import ctypes.util
import hashlib
import importlib.util
import os
import platform
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
RUNTIME_LOCK = "requirements.lock"
DEV_LOCK = "requirements-dev.lock"  # holds everything the runtime lock holds, at the same versions
OLDEST_PYTHON = (3, 11)

# What a bare Debian lacks: how it is noticed, the package that brings it.
SYSTEM_NEEDS: list[tuple[Callable[[], bool], str]] = [
    (lambda: importlib.util.find_spec("venv") is not None, "python3-venv"),
    (lambda: importlib.util.find_spec("pip") is not None, "python3-pip"),
]

# What the whole test suite needs beside that, each with the word that leaves its tests out.
TEST_NEEDS = {
    "--no-browser": [
        (lambda: any(map(shutil.which, ("chromium-headless-shell", "chromium", "chromium-browser"))), "chromium-headless-shell"),
        (lambda: ctypes.util.find_library("atomic") is not None, "libatomic1"),  # playwright's driver is linked to it
    ]
}
LEAVES_OUT = {"--no-browser": "tests in a real browser", "--no-postgres": "tests on PostgreSQL"}


def say(text: str) -> None:
    print(text, file=sys.stderr, flush=True)


def stop(text: str) -> None:
    say(text)
    raise SystemExit(2)


# --- setting up -----------------------------------------------------------------------------------


def ensure_system(more: Sequence[tuple[Callable[[], bool], str]] = (), hint: str = "") -> None:
    """Install the missing Debian packages as root; otherwise name the one line, before doing anything."""
    missing = [package for present, package in (*SYSTEM_NEEDS, *more) if not present()]
    if not missing:
        return
    line = "apt-get install -y --no-install-recommends " + " ".join(missing)
    if shutil.which("apt-get") is None:
        stop(f"Python lacks: {', '.join(missing)}. Install it with your system's packages, then run this again.")
    if os.geteuid() != 0:
        stop(f"This needs one line first:\n\n    sudo {line}\n\nThen run the same command again{hint}. Nothing was changed.")
    say(f"Installing {', '.join(missing)} from Debian, once.")
    for command in ("apt-get update -qq", line + " -qq"):
        if subprocess.run(command.split(), stdout=sys.stderr, env=os.environ | {"DEBIAN_FRONTEND": "noninteractive"}).returncode:
            stop(f"`{command}` failed; the lines above say why.")
    importlib.invalidate_caches()


MADE_FOR = f"{platform.python_version()} {ROOT}"  # an environment serves one Python in one folder


def is_made() -> bool:
    note = VENV / "made-for"
    return PYTHON.exists() and note.exists() and note.read_text() == MADE_FOR


def lock_hash(lock: str) -> str:
    return hashlib.sha256((ROOT / lock).read_bytes()).hexdigest()


def is_installed(lock: str) -> bool:
    stamp = VENV / f"{lock}.stamp"
    return is_made() and stamp.exists() and stamp.read_text() == lock_hash(lock)


def ensure_environment(lock: str) -> None:
    """Make .venv and install what `lock` names, unless that was done."""
    if is_installed(lock) or (lock == RUNTIME_LOCK and is_installed(DEV_LOCK)):
        return
    ensure_system()
    started = time.monotonic()
    if not is_made():
        say("Making .venv")
        # Debian's ensurepip lives in a package of its own; the system's pip installs into .venv instead.
        subprocess.run([sys.executable, "-m", "venv", "--clear", "--without-pip", str(VENV)], check=True)
        site = subprocess.run([PYTHON, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"], check=True, capture_output=True, text=True)
        (Path(site.stdout.strip()) / "brackish.pth").write_text(f"{ROOT / 'src'}\n")
        (VENV / "made-for").write_text(MADE_FOR)
    install(lock)
    (VENV / f"{lock}.stamp").write_text(lock_hash(lock))
    say(f"Ready after {time.monotonic() - started:.0f} s; this happens once.\n")


def install(lock: str) -> None:
    """Install a hashed lock with the system's pip, one line of progress a package."""
    total = len({line.split("==")[0] for line in (ROOT / lock).read_text().splitlines() if "==" in line})
    say(f"Installing the {total} packages of {lock}")
    command = [sys.executable, "-m", "pip", "--python", str(PYTHON), "install", "--disable-pip-version-check", "--no-input", "--progress-bar", "off"]
    command += ["--require-hashes", "-r", str(ROOT / lock)]
    output, done = [], 0
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as pip:
        assert pip.stdout is not None
        for line in pip.stdout:
            output.append(line)
            if line.startswith(("Collecting ", "Processing ", "Requirement already satisfied: ")):
                done = min(done + 1, total)
            if line.startswith(("Collecting ", "Processing ")):
                say(f"  {done:3} of {total}  {line.split()[1].rsplit('/', 1)[-1]}")
            elif line.startswith("Installing collected"):
                say("  unpacking")
    if pip.returncode:
        stop("".join(output[-15:]) + f"\nInstalling {lock} failed; the lines above say why. Run the same command again when it is mended.")


# --- commands -------------------------------------------------------------------------------------


COMPILED_ONCE = os.environ | {"PYTHONDONTWRITEBYTECODE": ""}  # where it is set, each process that a test starts compiles the program again


def call(arguments: Sequence[str]) -> int:
    """Run the environment's Python in the project's folder; its exit status."""
    try:
        return subprocess.run([str(PYTHON), *arguments], cwd=ROOT, env=COMPILED_ONCE).returncode
    except KeyboardInterrupt:
        return 130


# A worker a core; what one has left to do at the end, another takes over (tests/conftest.py says in which order).
PYTEST = ["-m", "pytest", "-n", str(min(os.cpu_count() or 1, 4)), "--dist", "worksteal"]


def demo(arguments: list[str]) -> int:
    os.chdir(ROOT)
    return run(["demo", *arguments])


def run(arguments: list[str]) -> int:
    """`brackish ARGS` where the person stands, so that file names mean what they say; this process becomes it, so that what stops one stops both."""
    ensure_environment(RUNTIME_LOCK)
    sys.stdout.flush()
    os.execve(PYTHON, [str(PYTHON), "-m", "brackish", *arguments], COMPILED_ONCE)


def test(arguments: list[str]) -> int:
    """The whole suite; what is left out by --no-browser or --no-postgres is said."""
    left_out = [each for each in LEAVES_OUT if each in arguments]
    arguments = [each for each in arguments if each not in left_out]
    ensure_system([need for word, needs in TEST_NEEDS.items() if word not in left_out for need in needs], hint=", or leave tests out with --no-browser")
    ensure_environment(DEV_LOCK)
    for word in left_out:
        say(f"Left out: {LEAVES_OUT[word]}.")
        os.environ["BRACKISH_" + word.removeprefix("--").replace("-", "_").upper()] = "1"
    return call([*PYTEST, *arguments])


def check(arguments: list[str]) -> int:
    ensure_environment(DEV_LOCK)
    steps = {
        "format": ["-m", "ruff", "format", "--check", "--quiet", "."],
        "lint": ["-m", "ruff", "check", "--quiet", "."],
        "types": ["-m", "mypy"],
        "guards and quick tests": [*PYTEST, "-q", "-m", "not slow", *arguments],
    }
    os.environ["BRACKISH_CHECK"] = "1"  # a quarter of the examples: tests/examples.py
    failed = []
    for name, step in steps.items():
        started = time.monotonic()
        print(f"== {name}", flush=True)
        if call(step):
            failed.append(name)
        print(f"   {'FAILED' if name in failed else 'ok'} after {time.monotonic() - started:.1f} s", flush=True)
    print(f"Not in order: {', '.join(failed)}." if failed else "All in order.")
    return 1 if failed else 0


def bench(arguments: list[str]) -> int:
    ensure_environment(DEV_LOCK)
    files = sorted(path for path in (ROOT / "benchmarks").glob("*.py") if not path.name.startswith("_"))
    return max([call([str(path), *arguments]) for path in files], default=0)


def docs(arguments: list[str]) -> int:
    ensure_environment(DEV_LOCK)
    return call(["-m", "tools.docs", *arguments])


def lock(arguments: list[str]) -> int:
    """Resolve again; `lock --upgrade` also takes newer releases. Hashes for every platform, no addresses."""
    ensure_environment(DEV_LOCK)
    common = ["-m", "uv", "pip", "compile", "--no-config", "--quiet", "--universal", "--python-version", "3.11"]
    common += ["--generate-hashes", "--no-header", "--no-annotate", "pyproject.toml", *arguments]
    status = call([*common, "--extra", "studies", "--extra", "web", "-o", RUNTIME_LOCK])
    status = status or call([*common, "--all-extras", "--group", "dev", "--constraint", RUNTIME_LOCK, "-o", DEV_LOCK])
    if status == 0:
        ensure_environment(DEV_LOCK)
    return status


COMMANDS: dict[str, Callable[[list[str]], int]] = {"demo": demo, "test": test, "check": check, "run": run, "bench": bench, "docs": docs, "lock": lock}


def main() -> int:
    if sys.version_info < OLDEST_PYTHON:
        stop(f"brackish needs Python {'.'.join(map(str, OLDEST_PYTHON))} or later; this is {platform.python_version()}.")
    name, *arguments = sys.argv[1:] or ["help"]
    if name not in COMMANDS:
        print(__doc__)
        return 0 if name in ("help", "-h", "--help") else 2
    return COMMANDS[name](arguments)


if __name__ == "__main__":
    raise SystemExit(main())
