# SPDX-License-Identifier: MIT
"""The main screens: what a page weighs, and how long twenty people wait for it who look at each page for a second.

pages.py                      20 jobs of 50 tests on SQLite
pages.py --pause 0            clients that never look: how many pages a second the server can make
pages.py --jobs 2000 --keep FOLDER     the ledger of `ledger.py`
"""

from __future__ import annotations

import argparse
import gzip
import re
import urllib.request
from pathlib import Path
from urllib.parse import urljoin

from _load import closed_loop, get
from ledger import CLIENTS, TARGETS, _line, filled_server, job_names, read, session

HEAVIEST = 150_000  # bytes in gzip with every style and script, at a first visit
SCREENS = {
    "jobs": "/",
    "job": "/jobs/{job}",
    "results": "/jobs/{job}/results",
    "result": "/jobs/{job}/results/T7",
    "day": "/jobs/{job}/day",
    "requirement": "/jobs/{job}/requirement",
    "report": "/jobs/{job}/report",
}
LINKED = re.compile(r'(?:(?:href|src)="|from "|import "|url\("?)(/static/[^"?#)]+|\.[^"?#)]+)')  # what is imported on demand is not here


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--jobs", type=int, default=20)
    parser.add_argument("--seconds", type=float, default=4)
    parser.add_argument("--pause", type=float, default=1)
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--on", choices=["sqlite", "postgres"], default="sqlite")
    options, _ = parser.parse_known_args()
    met = []
    with filled_server(options.on, options.jobs, options.keep) as server:
        _line("start to first answer", server.start(), TARGETS["first answer"])
        try:
            cookie, _ = session(server)
            for name, path in SCREENS.items():
                paths = [path.format(job=job) for job in job_names(options.jobs)]
                page, whole = weight(server.address + paths[0], cookie)
                print(f"  {name}: {page / 1e3:.0f} kB, {whole / 1e3:.0f} kB with all it links{'' if whole < HEAVIEST else '   NOT MET: under 150 asked'}")
                closed_loop(server.port, [[get(paths[0], cookie)] for _ in range(CLIENTS)])  # what loads and compiles once is not what is asked here
                met += [whole < HEAVIEST, read(server, cookie, name, paths, options.seconds, options.pause)]
        finally:
            server.stop()
    return 0 if all(met) else 1


def weight(address: str, cookie: str) -> tuple[int, int]:
    """Bytes in gzip of a page, and of it with everything it links and that links in turn."""
    sizes: dict[str, int] = {}
    waiting = [address]
    while waiting:
        file = waiting.pop()
        with urllib.request.urlopen(urllib.request.Request(file, headers={"Cookie": cookie})) as answer:
            data = answer.read()
        sizes[file] = len(gzip.compress(data))
        if answer.headers.get_content_type() in ("text/html", "text/css", "text/javascript"):
            waiting += {urljoin(file, link) for link in LINKED.findall(data.decode())} - sizes.keys() - set(waiting)
    return sizes[address], sum(sizes.values())


if __name__ == "__main__":
    raise SystemExit(main())
