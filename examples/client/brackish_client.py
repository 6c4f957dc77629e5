# SPDX-License-Identifier: MIT
"""A client of a brackish server, with nothing but Python's standard library.

`Client` calls the API and keeps the session. `Device` writes the events of one device in one job:
each gets its number, the hash of the one before, and the ids its author had seen; so they may be sent
late, twice, or in any order, and end in one state. See README.md beside this file.
"""

from __future__ import annotations

import hashlib
import http.cookiejar
import json
import urllib.error
import urllib.request
from datetime import UTC, datetime
from typing import Any


class Refused(Exception):
    """The server's answer when it refuses: the status, and every fault with code, place and message."""

    def __init__(self, status: int, errors: list[dict[str, Any]]) -> None:
        super().__init__(f"{status}: " + "; ".join(str(error["message"]) for error in errors))
        self.status, self.errors = status, errors


class Client:
    """One signed-in person. Changes carry the session's CSRF mark."""

    def __init__(self, address: str, *, timeout: float = 30) -> None:
        self.address, self.timeout = address.rstrip("/"), timeout
        self._opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar()))
        self._mark = ""

    def call(self, method: str, path: str, body: Any = None, **headers: str) -> Any:
        """The answer: a document where it is JSON, else bytes. `body` is a document or bytes."""
        data = body if isinstance(body, bytes | None) else json.dumps(body).encode()
        request = urllib.request.Request(f"{self.address}/api/v1{path}", data=data, method=method)
        request.add_header("Content-Type", "application/octet-stream" if isinstance(body, bytes) else "application/json")
        request.add_header("X-CSRFToken", self._mark)
        for name, value in headers.items():
            request.add_header(name.replace("_", "-"), value)
        try:
            with self._opener.open(request, timeout=self.timeout) as answer:
                content, media_type = answer.read(), answer.headers.get_content_type()
        except urllib.error.HTTPError as error:
            raise Refused(error.code, json.loads(error.read())["errors"]) from None
        return json.loads(content) if content and media_type == "application/json" else content

    def accept(self, link: str, *, name: str, shown_name: str, password: str) -> None:
        """Make the account that an invitation link is for."""
        self._mark = self.call("GET", "/session")["csrf_token"]
        self.call("POST", "/invitations/" + link.rsplit("/", 1)[-1], {"name": name, "shown_name": shown_name, "password": password})

    def sign_in(self, name: str, password: str) -> None:
        self._mark = self.call("GET", "/session")["csrf_token"]
        self._mark = self.call("POST", "/session", {"name": name, "password": password})["csrf_token"]

    def attach(self, job: str, data: bytes, *, name: str, media_type: str, piece: int = 1_000_000) -> str:
        """Send a file in pieces, from where an earlier try stopped; its hash."""
        digest = hashlib.sha256(data).hexdigest()
        state = self.call("POST", f"/jobs/{job}/attachments", {"sha256": digest, "name": name, "media_type": media_type, "size": len(data)})
        while not state["complete"]:
            start = state["received"]
            state = self.call("PATCH", f"/jobs/{job}/attachments/{digest}", data[start : start + piece], Upload_Offset=str(start))
        return digest


class Device:
    """The events of one device, one author and one job, in the order they were written."""

    def __init__(self, *, name: str, job: str, author: str) -> None:
        self.name, self.job, self.author = name, job, author
        self.seen: list[str] = []  # the job's `base` as this device last read it
        self.unsent: list[dict[str, Any]] = []
        self._seq, self._prev = 0, ""

    def set(self, path: list[str], value: Any, *, reason: str = "") -> dict[str, Any]:
        """Write a value: a text, truth value, whole number or list of these."""
        return self._write("set", path, reason, value=value)

    def withdraw(self, path: list[str], *, reason: str) -> dict[str, Any]:
        return self._write("withdraw", path, reason)

    def attach(self, path: list[str], *, name: str, sha256: str, media_type: str, size: int) -> dict[str, Any]:
        return self._write("attach", path, "", value=[name, sha256, media_type, size])

    def read(self, client: Client) -> dict[str, Any]:
        """The job as it stands; what this device writes next has seen it."""
        state: dict[str, Any] = client.call("GET", f"/jobs/{self.job}")
        self.seen = state["base"]
        return state

    def send(self, client: Client) -> list[dict[str, Any]]:
        """Send what is unsent; the answer for each. Sending again after a lost answer changes nothing."""
        answers: list[dict[str, Any]] = client.call("POST", f"/jobs/{self.job}/events", self.unsent)["events"]
        self.unsent = []
        return answers

    def _write(self, kind: str, path: list[str], reason: str, **value: Any) -> dict[str, Any]:
        self._seq += 1
        event = {
            "format": "brackish-event/1",
            "job": self.job,
            "device": self.name,
            "seq": self._seq,
            "prev": self._prev,
            "author": self.author,
            "made": datetime.now(UTC).isoformat(timespec="seconds"),
            "kind": kind,
            "path": path,
            "reason": reason,
            "base": sorted(self.seen),
            **value,
        }
        digits = hashlib.sha256(canonical(event)).hexdigest()
        event["id"] = "-".join((digits[:8], digits[8:12], digits[12:16], digits[16:20], digits[20:32]))
        self._prev = "sha256:" + hashlib.sha256(canonical(event)).hexdigest()
        self.unsent.append(event)
        return event


def canonical(document: Any) -> bytes:
    """Keys sorted, no spaces, UTF-8: the bytes that are hashed."""
    return json.dumps(document, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()
