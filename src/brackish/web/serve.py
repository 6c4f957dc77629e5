# SPDX-License-Identifier: MIT
"""The server process: tables up to date, the address printed, granian serving.

While nobody has an account the owner's one-time link is printed too. SQLite and the files lie in one
folder; PostgreSQL by DATABASE_URL. The command is `cli/serve.py`, the settings are `settings.py`.
"""

from __future__ import annotations

import gc
import http.client
import multiprocessing
import os

from brackish.errors import InputError

HERE = "127.0.0.1"
EVERYWHERE = ("0.0.0.0", "::")


def serve(*, host: str, port: int, workers: int = 2) -> None:
    """Serve until a person stops it."""
    claim(host=host, port=port)
    gc.disable()  # until all is loaded: next to nothing is garbage before, and looking for it took a twelfth of the start
    local = host in (HERE, "localhost")
    if "BRACKISH_HOSTS" not in os.environ and not local and host not in EVERYWHERE:
        os.environ["BRACKISH_HOSTS"] = f"localhost,127.0.0.1,[::1],{host}"
    link = prepare()
    address = f"http://{'localhost' if local or host in EVERYWHERE else host}:{port}"
    print(f"brackish serves at {address}", flush=True)
    if link:
        print(f"Nobody has an account yet. The owner's link, which works once:\n  {address}/enter/{link}", flush=True)
    run(host=host, port=port, workers=workers)


def claim(*, host: str, port: int) -> None:
    """Refuse a port at which somebody answers already: two servers would share it, and answer in turns.

    Only an answer counts: what a killed server leaves at its port for a moment must not keep it from starting again.
    """
    if not 0 <= port <= 65_535:
        raise InputError("serve.port", given=f"{host}:{port}", detail="a port is a number from 0 to 65535")
    there = http.client.HTTPConnection({"0.0.0.0": HERE, "::": "::1"}.get(host, host), port, timeout=1)
    try:
        there.request("GET", "/health")
        there.getresponse()
    except (OSError, http.client.HTTPException):
        return
    finally:
        there.close()
    raise InputError("serve.port", given=f"{host}:{port}", detail="somebody answers there already")


def prepare() -> str | None:
    """Bring the tables up to date; the owner's token on a server without accounts."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "brackish.web.settings")
    import django
    from django.core.management import call_command

    django.setup()
    from django.db import DatabaseError, connections

    from brackish.web.ledger.turns import one_starter
    from brackish.web.people.invitations import first_owner_token

    try:
        if _is_behind():
            with one_starter():
                call_command("migrate", verbosity=0, interactive=False)
        return first_owner_token()
    except DatabaseError as error:
        raise InputError("serve.database", detail=str(error).splitlines()[0]) from None
    finally:
        connections.close_all()  # a process that begins as a copy of this one must not share them


def _is_behind() -> bool:
    """Are there tables to make? Asking is ten times as quick as migrating nothing."""
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def run(*, host: str, port: int, workers: int) -> None:
    from granian import Granian
    from granian.constants import Interfaces
    from granian.log import LogLevels

    if multiprocessing.get_start_method() == "fork":  # the workers then share what is loaded here, in place of loading it each
        import brackish.web.urls
        import brackish.web.wsgi  # noqa: F401

        gc.freeze()  # nothing of it is ever garbage: a tenth of each page went into looking
        gc.set_threshold(10_000)  # reading one outcome makes as many tables
    gc.enable()

    Granian(
        "brackish.web.wsgi:application",
        address=host,
        port=port,
        interface=Interfaces.WSGI,
        workers=workers,
        blocking_threads=2,  # more would only fight for the interpreter: a fifth of each request with four
        log_level=LogLevels.warning,
        respawn_failed_workers=True,
    ).serve()
