# SPDX-License-Identifier: MIT
"""The first tables."""

import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies: list[tuple[str, str]] = []

    operations = [
        migrations.CreateModel(
            name="Person",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("password", models.CharField(max_length=128, verbose_name="password")),
                ("name", models.CharField(max_length=100, unique=True)),
                ("shown_name", models.CharField(max_length=200)),
                ("active", models.BooleanField(default=True)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Organisation",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=200)),
            ],
        ),
        migrations.CreateModel(
            name="Job",
            fields=[
                ("id", models.CharField(max_length=36, primary_key=True, serialize=False)),
                ("head", models.CharField(default="", max_length=71)),
                ("frontier", models.JSONField(default=list)),
                ("judged_head", models.CharField(default="", max_length=71)),
                ("judged_events", models.IntegerField(default=-1)),
                ("engine", models.CharField(default="", max_length=40)),
                ("title", models.TextField(default="")),
                ("site", models.TextField(default="")),
                ("words", models.TextField(default="")),
                ("verdict", models.CharField(default="", max_length=20)),
                ("waiting_for", models.CharField(default="", max_length=20)),
                ("events", models.IntegerField(default=0)),
                ("held", models.IntegerField(default=0)),
                ("conflicts", models.IntegerField(default=0)),
                ("changed", models.DateTimeField()),
                ("organisation", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="web.organisation")),
            ],
        ),
        migrations.CreateModel(
            name="Invitation",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("token_hash", models.CharField(max_length=64, unique=True)),
                ("role", models.CharField(max_length=20)),
                ("expires", models.DateTimeField()),
                ("made_by", models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL)),
                ("used_by", models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL)),
                ("job", models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, to="web.job")),
                ("organisation", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to="web.organisation")),
            ],
        ),
        migrations.CreateModel(
            name="Audit",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("at", models.DateTimeField(db_index=True)),
                ("action", models.CharField(max_length=40)),
                ("detail", models.TextField(default="")),
                ("address", models.CharField(max_length=45)),
                ("person", models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL)),
                ("job", models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, to="web.job")),
                ("organisation", models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, to="web.organisation")),
            ],
        ),
        migrations.CreateModel(
            name="Outcome",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("test", models.CharField(max_length=200)),
                ("position", models.IntegerField()),
                ("head", models.CharField(max_length=71)),
                ("engine", models.CharField(max_length=40)),
                ("body", models.TextField()),
                ("job", models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, to="web.job")),
            ],
        ),
        migrations.CreateModel(
            name="SignInFailure",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=100)),
                ("address", models.CharField(max_length=45)),
                ("at", models.DateTimeField()),
            ],
            options={
                "indexes": [models.Index(fields=["name", "at"], name="failure_name"), models.Index(fields=["address", "at"], name="failure_address")],
            },
        ),
        migrations.CreateModel(
            name="SigningKey",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("public", models.CharField(max_length=64, unique=True)),
                ("sealed", models.BinaryField()),
                ("made", models.DateTimeField()),
                ("retired", models.DateTimeField(null=True)),
                ("person", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL)),
            ],
        ),
        migrations.CreateModel(
            name="Event",
            fields=[
                ("seq", models.BigAutoField(primary_key=True, serialize=False)),
                ("id", models.CharField(max_length=36)),
                ("hash", models.CharField(max_length=71)),
                ("path", models.TextField()),
                ("body", models.TextField()),
                ("placed", models.BooleanField()),
                ("received", models.DateTimeField()),
                ("sender", models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL)),
                ("job", models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.PROTECT, to="web.job")),
            ],
            options={
                "indexes": [
                    models.Index(fields=["job", "seq"], name="event_order"),
                    models.Index(fields=["job", "hash"], name="event_hash"),
                    models.Index(condition=models.Q(("placed", False)), fields=["job"], name="event_held"),
                ],
                "constraints": [models.UniqueConstraint(fields=("job", "id"), name="event_once")],
            },
        ),
        migrations.CreateModel(
            name="Attachment",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ("sha256", models.CharField(max_length=64)),
                ("name", models.CharField(max_length=200)),
                ("media_type", models.CharField(max_length=60)),
                ("size", models.BigIntegerField()),
                ("received", models.BigIntegerField(default=0)),
                ("original", models.CharField(default="", max_length=200)),
                ("shown", models.CharField(default="", max_length=200)),
                ("at", models.DateTimeField()),
                ("sender", models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL)),
                ("job", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="web.job")),
            ],
            options={
                "constraints": [models.UniqueConstraint(fields=("job", "sha256"), name="attachment_once")],
            },
        ),
        migrations.CreateModel(
            name="Membership",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "role",
                    models.CharField(
                        choices=[
                            ("owner", "owner"),
                            ("inspector", "inspector"),
                            ("tester", "tester"),
                            ("trainee", "trainee"),
                            ("reader", "reader"),
                            ("witness", "witness"),
                            ("client", "client"),
                        ],
                        max_length=20,
                    ),
                ),
                ("job", models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, to="web.job")),
                ("person", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to=settings.AUTH_USER_MODEL)),
                ("organisation", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to="web.organisation")),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(condition=models.Q(("job", None)), fields=("person", "organisation"), name="member_once"),
                    models.UniqueConstraint(fields=("person", "job"), name="member_of_job_once"),
                    models.CheckConstraint(
                        condition=models.Q(("job__isnull", False), models.Q(("role__in", ("witness", "client")), _negated=True), _connector="OR"),
                        name="guests_have_a_job",
                    ),
                ],
            },
        ),
        migrations.AddIndex(
            model_name="job",
            index=models.Index(fields=["organisation", "-changed", "id"], name="job_list"),
        ),
        migrations.AddIndex(
            model_name="job",
            index=models.Index(fields=["organisation", "waiting_for", "-changed"], name="job_waiting"),
        ),
        migrations.AddConstraint(
            model_name="outcome",
            constraint=models.UniqueConstraint(fields=("job", "test"), name="outcome_once"),
        ),
    ]
