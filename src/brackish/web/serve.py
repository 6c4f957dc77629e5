# SPDX-License-Identifier: MIT
"""`brackish serve`: the server, on one machine by default.

Makes or updates the tables, prints the address and, while nobody has an account, the owner's one-time
link; then granian serves. SQLite and the files lie in one folder; PostgreSQL by DATABASE_URL.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence

from brackish.errors import BrackishError, InputError


def main(arguments: Sequence[str]) -> int:
    """Serve until stopped; 0 when stopped by a person, 2 where it cannot begin."""
    options = _options(arguments)
    os.environ["DJANGO_SETTINGS_MODULE"] = "brackish.web.settings"
    if options.data:
        os.environ["BRACKISH_DATA"] = options.data
    _allow_host(options.host)
    link = prepare()
    address = f"http://{'localhost' if options.host in ('127.0.0.1', '0.0.0.0', '::') else options.host}:{options.port}"
    print(f"brackish serves at {address}", flush=True)
    if link:
        print(f"Nobody has an account yet. The owner's link, which works once:\n  {address}/enter/{link}", flush=True)
    _run(host=options.host, port=options.port, workers=options.workers)
    return 0


def prepare() -> str | None:
    """Bring the tables up to date; the owner's token on a server without accounts."""
    import django
    from django.core.management import call_command

    django.setup()
    from django.db import DatabaseError

    from brackish.web.people.invitations import first_owner_token

    try:
        if _is_behind():
            call_command("migrate", verbosity=0, interactive=False)
        return first_owner_token()
    except DatabaseError as error:
        raise InputError("serve.database", detail=str(error).splitlines()[0]) from None


def _is_behind() -> bool:
    """Are there tables to make? Asking is ten times as quick as migrating nothing."""
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def _run(*, host: str, port: int, workers: int) -> None:
    from granian import Granian
    from granian.constants import Interfaces
    from granian.log import LogLevels

    Granian(
        "brackish.web.wsgi:application",
        address=host,
        port=port,
        interface=Interfaces.WSGI,
        workers=workers,
        blocking_threads=4,
        log_level=LogLevels.warning,
        respawn_failed_workers=True,
    ).serve()


def _allow_host(host: str) -> None:
    if "BRACKISH_HOSTS" not in os.environ and host not in ("127.0.0.1", "localhost", "0.0.0.0", "::"):
        os.environ["BRACKISH_HOSTS"] = f"localhost,127.0.0.1,[::1],{host}"


def _options(arguments: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="brackish serve", description="Serve brackish to browsers and other programs.")
    parser.add_argument("--host", default="127.0.0.1", help="address to listen at (127.0.0.1: this machine only)")
    parser.add_argument("--port", type=int, default=8400, help="port (8400)")
    parser.add_argument("--data", help="folder of database, files and secret key (./brackish-data)")
    parser.add_argument("--workers", type=int, default=1, help="server processes (1; more want PostgreSQL)")
    return parser.parse_args(list(arguments))


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except BrackishError as error:
        print(error, file=sys.stderr)
        sys.exit(error.exit_status)
