# SPDX-License-Identifier: MIT
"""The WSGI application that the server process runs."""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import Any

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "brackish.web.settings")
_django = get_wsgi_application()


def application(environ: dict[str, Any], start_response: Callable[..., Any]) -> list[bytes]:
    """An answer in one piece: granian sends a list with its length, and anything else in chunks that it asks for one by one."""
    response = _django(environ, start_response)
    try:
        return [b"".join(response)]
    finally:
        response.close()
