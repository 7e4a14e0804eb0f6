"""Dates outside the shop, and who a stage is given to."""

import django.db.models.deletion
from django.db import migrations, models

import jobs.core.canonical_json


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0011_wall_tokens"),
    ]

    operations = [
        migrations.AddField(
            model_name="stage",
            name="given_to",
            field=models.CharField(blank=True, max_length=40, default=""),
            preserve_default=False,
        ),
        migrations.CreateModel(
            name="Appointment",
            fields=[
                ("id", models.BigIntegerField(primary_key=True, serialize=False)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("site visit", "Site visit"),
                            ("wood", "Collecting wood"),
                            ("delivery", "Delivery"),
                            ("other", "Other date"),
                        ],
                        max_length=12,
                    ),
                ),
                ("day", models.DateField()),
                ("starts_at", models.DateTimeField(null=True)),
                ("minutes", models.PositiveIntegerField(null=True)),
                ("place_ref", models.UUIDField(null=True)),
                ("note_ref", models.UUIDField(null=True)),
                ("hands", models.PositiveSmallIntegerField(default=1)),
                ("people", jobs.core.canonical_json.CanonicalField(default=list)),
                ("is_told", models.BooleanField(default=False)),
                (
                    "step",
                    models.CharField(
                        choices=[("planned", "Planned"), ("done", "Done"), ("cancelled", "Cancelled")],
                        default="planned",
                        max_length=10,
                    ),
                ),
                ("reason_ref", models.UUIDField(null=True)),
                ("version", models.BigIntegerField()),
                (
                    "commission",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="appointments",
                        to="jobs.commission",
                    ),
                ),
            ],
            options={"ordering": ("day", "starts_at", "id")},
        ),
    ]
