# SPDX-License-Identifier: MIT
"""Outcomes are kept in gzip. Those kept so far are thrown away: whoever reads a job next makes them again."""

from __future__ import annotations

from typing import Any

from django.db import migrations, models


def forget(apps: Any, editor: Any) -> None:
    apps.get_model("web", "Outcome").objects.all().delete()


class Migration(migrations.Migration):
    dependencies = [("web", "0001_initial")]
    operations = [
        migrations.RunPython(forget, forget),
        migrations.RemoveField("outcome", "body"),
        migrations.AddField("outcome", "body", models.BinaryField(default=b""), preserve_default=False),
    ]
