# SPDX-License-Identifier: MIT
"""The Django application, under the short name `web`."""

from __future__ import annotations

from django.apps import AppConfig


class WebConfig(AppConfig):
    name = "brackish.web"
    label = "web"
