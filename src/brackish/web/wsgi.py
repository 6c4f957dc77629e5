# SPDX-License-Identifier: MIT
"""The WSGI application that the server process runs."""

from __future__ import annotations

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "brackish.web.settings")
application = get_wsgi_application()
