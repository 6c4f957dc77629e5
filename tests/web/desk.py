# SPDX-License-Identifier: MIT
"""A browser with our scripts on pages of a test's own making, whose API is this process's: no server, no waiting."""

from __future__ import annotations

import json
from email.utils import formatdate
from pathlib import Path
from typing import Any

from django.db import connections

from brackish.web import models
from tests.web.writing import JOB

STATIC = Path(__file__).parents[2] / "src/brackish/web/static"
PAGE = """<!doctype html><body data-job="{job}" data-author="{author}" data-base='{base}'>
<div id="messages" role="status" data-written="Written" data-undone="Undone" data-meanwhile="Meanwhile written:" data-waiting="Not sent yet." data-refused="Not taken" data-lost="Set back." data-take-back="taken back"
 data-nothing="Nothing" data-failed="Failed." data-insecure="Insecure"></div>
<template id="message"><div><span data-text></span><button data-undo>Take back</button><button data-close>Close</button></div></template>{body}"""
WRITE = """async ([changes, options]) => (await import("/static/brackish/record.js")).write(changes, options)"""


class Desk:
    """A browser at which somebody sits: its pages ask the API of this test as `role`, or meet what `network` says in its place."""

    def __init__(self, browser: Any, workspace: Any) -> None:
        self.workspace, self.role, self.network, self.body = workspace, "tester", "good", ""
        self.author = "tester"
        self.silent: list = []
        self.connection = connections["default"]
        self.context = browser.new_context()
        self.context.set_default_timeout(20_000)
        self.context.route("**/*", self._answer)

    def _answer(self, route: Any) -> None:
        connections["default"] = self.connection  # playwright calls this beside the test, where Django would open another one
        path = route.request.url.removeprefix("https://desk.test")
        if path.startswith("/static/"):
            kind = "text/javascript" if path.endswith(".js") else "text/css"
            route.fulfill(body=(STATIC / path.removeprefix("/static/").split("?")[0]).read_bytes(), content_type=kind)
        elif path == "/" or path.startswith(("/?", "/#")):
            base = json.dumps(models.Job.objects.get(id=JOB).frontier)
            route.fulfill(body=PAGE.format(job=JOB, author=self.author, base=base, body=self.body), content_type="text/html")
        elif self.network == "none":
            route.abort()
        elif self.network == "silent":
            self.silent.append(route)
        elif self.network != "good":
            route.fulfill(**json.loads(self.network))
        else:
            request = route.request
            answer = self.workspace.client(self.role).generic(request.method, path, request.post_data_buffer or b"", content_type="application/json")
            headers = {"Content-Type": answer.headers["Content-Type"], "Date": formatdate(usegmt=True)}  # as every server says it
            route.fulfill(status=answer.status_code, body=answer.content, headers=headers)

    def page(self, address: str = "/") -> Any:
        """The page of a test's own making, or one of the workspace."""
        page = self.context.new_page()
        page.goto(f"https://desk.test{address}")
        return page


def write(page: Any, *changes: tuple[tuple[str, ...], Any], **options: Any) -> str:
    return page.evaluate(WRITE, [[{"path": list(path), "value": value} for path, value in changes], options])


def waiting(page: Any) -> int:
    return page.evaluate("async () => (await import('/static/brackish/record.js')).waiting()")


def said(page: Any) -> str:
    return page.locator("#messages [data-text]").inner_text()
