# SPDX-License-Identifier: MIT
"""Clients that ask again as soon as they are answered, all in one thread over plain sockets.

The asking costs some 0.05 ms of a core a request, so that on a small machine what is measured is the
server. Answers are read to their end and checked for success; a body is kept only for whoever looks at it.
"""

from __future__ import annotations

import json
import random
import re
import selectors
import socket
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field

PIECE = 1 << 18
_LENGTH = re.compile(rb"\r\ncontent-length: *(\d+)", re.IGNORECASE)


@dataclass
class _Client:
    socket: socket.socket
    requests: Iterator[bytes]
    asked: float = 0.0  # when it asked, or will ask again
    got: bytearray = field(default_factory=bytearray)
    whole: int = 0  # size of the answer, once its head is here


def closed_loop(
    port: int, clients: Iterable[Iterable[bytes]], *, seconds: float = float("inf"), pause: float = 0, look: Callable[[bytes], None] = lambda body: None
) -> tuple[list[float], float]:
    """The time of every answer, sorted, and how long all took: until each client has no more to ask, or time is up.

    With a pause each client looks at its answer for so long before it asks again.
    """
    selector, times = selectors.DefaultSelector(), list[float]()
    begun, resting = time.monotonic(), deque[_Client]()
    for requests in clients:
        client = _Client(socket.create_connection(("127.0.0.1", port)), iter(requests))
        client.socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        selector.register(client.socket, selectors.EVENT_READ, client)
        client.asked = begun + pause * random.random()
        resting.append(client)
    resting = deque(sorted(resting, key=lambda client: client.asked))
    while selector.get_map():
        for key, _ in selector.select(timeout=max(0, resting[0].asked - time.monotonic()) if resting else 60):
            client = key.data
            piece = client.socket.recv(PIECE)
            assert piece, "the server hung up"
            client.got += piece
            if not client.whole and (end := client.got.find(b"\r\n\r\n")) >= 0:
                length = _LENGTH.search(client.got, 0, end)
                assert length and client.got.startswith(b"HTTP/1.1 20"), bytes(client.got[:400])
                client.whole = end + 4 + int(length[1])
            if client.whole and len(client.got) >= client.whole:
                now = time.monotonic()
                times.append(now - client.asked)
                look(bytes(client.got[client.got.find(b"\r\n\r\n") + 4 :]))
                client.asked = now + pause
                resting.append(client)
        while resting and resting[0].asked <= time.monotonic():
            _ask(resting.popleft(), selector, stop=time.monotonic() - begun > seconds)
    return sorted(times), time.monotonic() - begun


def _ask(client: _Client, selector: selectors.BaseSelector, *, stop: bool = False) -> None:
    request = None if stop else next(client.requests, None)
    if request is None:
        selector.unregister(client.socket)
        client.socket.close()
        return
    client.got.clear()
    client.whole, client.asked = 0, time.monotonic()
    client.socket.sendall(request)


def get(path: str, cookie: str) -> bytes:
    """A request as a browser sends it: kept open, gzip welcome."""
    return f"GET {path} HTTP/1.1\r\nHost: localhost\r\nCookie: {cookie}\r\nAccept-Encoding: gzip\r\n\r\n".encode()


def post(path: str, cookie: str, mark: str, document: object) -> bytes:
    """A document sent as JSON by whoever holds the session and its CSRF mark."""
    body = json.dumps(document).encode()
    head = f"POST {path} HTTP/1.1\r\nHost: localhost\r\nCookie: {cookie}\r\nX-CSRFToken: {mark}\r\nContent-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
    return head.encode() + body


def quantile(times: list[float], part: float) -> float:
    """The time that this part of all sorted times stays under."""
    return times[min(len(times) - 1, int(part * len(times)))]
