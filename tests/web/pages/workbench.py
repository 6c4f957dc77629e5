# SPDX-License-Identifier: MIT
"""A workspace that a real browser walks through, with one clock for server and browser that a test moves.

The server runs in this process, so that its clock (`pages/moment.py`) can be set; the browser's is Playwright's.
"""

from __future__ import annotations

import threading
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from socketserver import ThreadingMixIn
from typing import Any
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer, make_server

import pytest
from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore
from django.core.management import call_command
from django.core.wsgi import get_wsgi_application
from django.utils import timezone

from brackish.web import models
from brackish.web.ledger.store import append
from brackish.web.pages import moment
from tests.web.writing import JOB, Writer

START = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)


class _Server(ThreadingMixIn, WSGIServer):
    daemon_threads = True


class _Quiet(WSGIRequestHandler):
    def log_message(self, *_: object) -> None:
        pass


class Workbench:
    """An organisation with a tester and an inspector, one job, a server, a clock."""

    def __init__(self) -> None:
        self.at = START
        self._clear()
        self.organisation = models.Organisation.objects.create(name="Pell Quay")
        self.job = models.Job.objects.create(id=JOB, organisation=self.organisation, changed=timezone.now())
        self.people = {
            name: self._person(name, shown, role) for name, shown, role in (("ines", "Ines Farrow", "tester"), ("jonna", "Jonna Reith", "inspector"))
        }
        self._server = make_server("127.0.0.1", 0, get_wsgi_application(), server_class=_Server, handler_class=_Quiet)
        self.address = f"http://localhost:{self._server.server_port}"
        threading.Thread(target=self._server.serve_forever, daemon=True).start()

    def _person(self, name: str, shown: str, role: str) -> models.Person:
        person = models.Person.objects.create(name=name, shown_name=shown)
        models.Membership.objects.create(organisation=self.organisation, person=person, role=role)
        return person

    def write(self, document: dict[str, Any]) -> None:
        events = Writer(author="jonna", device="desk").document(document)
        append(job=JOB, documents=[event.to_dict() for event in events], sender=None)

    def close(self) -> None:
        self._server.shutdown()
        self._server.server_close()
        self._clear()

    def _clear(self) -> None:
        """Every table emptied: what the server's threads wrote is no part of a test's own transaction."""
        call_command("flush", verbosity=0, interactive=False)

    def session(self, name: str) -> str:
        person = self.people[name]
        store = SessionStore()
        store[SESSION_KEY], store[BACKEND_SESSION_KEY], store[HASH_SESSION_KEY] = (
            str(person.pk),
            "brackish.web.people.sessions.Accounts",
            person.get_session_auth_hash(),
        )
        store.create()
        return str(store.session_key)

    def outcome(self) -> dict[str, Any]:
        import json

        from brackish.web.ledger.outcomes import outcome_bytes

        self.job.refresh_from_db()
        return dict(json.loads(outcome_bytes(self.job)))

    def client_document(self) -> dict[str, Any]:
        """The job document as it stands now."""
        from brackish.web.ledger.outcomes import document_of

        self.job.refresh_from_db()
        return dict(document_of(self.job))

    @contextmanager
    def device(self, browser: Any, name: str = "ines", *, width: int = 390, light: str = "light", **options: Any):
        """A browser of its own, signed in, with the clock of the workbench."""
        viewport = {"width": width, "height": 844 if width < 600 else 1000}
        # nothing moves: what is still fading when axe looks has a contrast that nobody ever sees
        context = browser.new_context(base_url=self.address, viewport=viewport, color_scheme=light, reduced_motion="reduce", **options)
        context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": self.session(name), "url": self.address}])
        page = context.new_page()
        page.clock.install(time=self.at)
        page.wrong = []
        page.on("pageerror", lambda error: page.wrong.append(str(error)))
        page.on(
            "console", lambda message: page.wrong.append(message.text) if message.type == "error" and "Failed to load resource" not in message.text else None
        )
        try:
            yield page
        finally:
            context.close()
        assert page.wrong == []

    def later(self, *pages: Any, **span: float) -> None:
        """Time goes by, for the server and for every device."""
        step = timedelta(**span)
        self.at += step
        for page in pages:
            page.clock.fast_forward(int(step.total_seconds() * 1000))


@pytest.fixture
def bench(tables, browser, monkeypatch):
    workbench = Workbench()
    monkeypatch.setattr(moment, "now", lambda: workbench.at)
    for module in ("day", "run", "sheet", "equipment"):
        monkeypatch.setattr(f"brackish.web.pages.{module}.now", lambda: workbench.at)
    try:
        yield workbench
    finally:
        workbench.close()
