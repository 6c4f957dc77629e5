# SPDX-License-Identifier: MIT
"""The addresses of the screens: each module of `SCREENS` says its own. A new screen is one name more."""

from __future__ import annotations

from importlib import import_module

from django.urls import URLPattern

SCREENS = (
    "jobs",
    "new",
    "people",
    "job",
    "results",
    "result",
    "salts",
    "history",
    "plan",
    "requirement",
    "limits_card",
    "day",
    "run",
    "sheet",
    "equipment",
    "importing",
    "lessons",
    "compare",
    "release",
    "conflict",
    "report",
    "choices",
    "demo",
)

addresses: list[URLPattern] = [address for name in SCREENS for address in import_module(f"brackish.web.pages.{name}").ADDRESSES]
