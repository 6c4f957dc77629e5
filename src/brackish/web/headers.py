# SPDX-License-Identifier: MIT
"""What every answer carries: headers that allow no script, style or frame but our own files; and gzip around text."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils.cache import patch_vary_headers
from django.utils.text import compress_string

POLICY = "; ".join(
    [
        "default-src 'none'",
        "script-src 'self' 'wasm-unsafe-eval'",  # the barcode reader and the browser's Python are WebAssembly
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "worker-src 'self'",
        "manifest-src 'self'",
        "media-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    ]
)


def security_headers(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.setdefault("Content-Security-Policy", POLICY)
        response.setdefault("X-Frame-Options", "DENY")
        response.setdefault("Permissions-Policy", "camera=(self), geolocation=(self), screen-wake-lock=(self), microphone=(), payment=()")
        response.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        if not request.path.startswith("/static/"):
            response.setdefault("Cache-Control", "private, no-store")
        return response

    return answer


TEXT = ("text/", "image/svg")  # pictures and PDF are packed already
SHORT = 1_000


def packed_text(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Pages, styles and scripts go out in gzip, a fifth of their size; random bytes hide how long what is secret in a page is."""

    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if response.get("Content-Type", "").startswith(TEXT) and len(response.content) > SHORT and not response.has_header("Content-Encoding"):
            patch_vary_headers(response, ["Accept-Encoding"])
            if "gzip" in request.headers.get("Accept-Encoding", ""):
                response.content = compress_string(response.content, max_random_bytes=100)
                response["Content-Encoding"] = "gzip"
        return response

    return answer
