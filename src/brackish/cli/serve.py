# SPDX-License-Identifier: MIT
"""Serve brackish to browsers and other programs, from this machine or for a team.

Settings from the environment: BRACKISH_DATA (folder of database, files and secret key, ./brackish-data),
DATABASE_URL (postgresql://…; SQLite without it), BRACKISH_HOSTS (names this server answers to, with
commas), BRACKISH_HTTPS (1 where browsers reach it by https).
"""

from __future__ import annotations

import argparse
import os


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--host", default="127.0.0.1", help="address to listen at (127.0.0.1: this machine only)")
    parser.add_argument("--port", type=int, default=8400, help="port (8400)")
    parser.add_argument("--data", help="folder of database, files and secret key (./brackish-data)")
    parser.add_argument("--workers", type=int, default=2, help="server processes (2; as many as there are cores)")


def run(options: argparse.Namespace) -> int:
    from brackish.web.serve import serve

    if options.data:
        os.environ["BRACKISH_DATA"] = options.data
    serve(host=options.host, port=options.port, workers=options.workers)
    return 0
