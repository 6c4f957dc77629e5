# SPDX-License-Identifier: MIT
"""How fast a clause is read: a page, and a megabyte of the same sentence, beside splitting it into words."""

from __future__ import annotations

import time
from collections.abc import Callable

from _timing import row

from brackish.prepare.clause import read

PAGE = ("The chlorides on the steel of tank 3 shall not exceed 5 ug/cm2 by ISO 8502-5, three tests per tank at welds. " * 40)[:3500]
HOSTILE = ("The salt shall not exceed 50 mg/m2. " * 30_000)[:1_000_000]


def best(work: Callable[[], object], repeats: int) -> float:
    taken = []
    for _ in range(repeats):
        started = time.perf_counter()
        work()
        taken.append(time.perf_counter() - started)
    return min(taken)


row("a page of a contract", best(lambda: read(PAGE), 5), beside=best(PAGE.split, 50), than="str.split", target=0.3)
row("a megabyte of one sentence", best(lambda: read(HOSTILE), 3), beside=best(HOSTILE.split, 20), than="str.split", target=2.0)
