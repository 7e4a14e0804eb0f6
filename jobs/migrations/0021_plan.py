"""What a maker pins in the plan, the plan that is published, and the plan of each day."""

from django.db import migrations, models

import jobs.core.canonical_json


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0020_working_time"),
    ]

    operations = [
        migrations.CreateModel(
            name="PlanOfDay",
            fields=[
                ("day", models.DateField(primary_key=True, serialize=False)),
                ("body", jobs.core.canonical_json.CanonicalField(default=dict)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="PublishedPlan",
            fields=[
                ("id", models.PositiveSmallIntegerField(primary_key=True, serialize=False)),
                ("made_at", models.DateTimeField(null=True)),
                ("seq", models.BigIntegerField(default=0)),
                ("body", jobs.core.canonical_json.CanonicalField(default=dict)),
                ("starts", jobs.core.canonical_json.CanonicalField(default=dict)),
                ("value", models.BigIntegerField(default=0)),
                ("is_improved", models.BooleanField(default=False)),
                ("is_wanted", models.BooleanField(default=False)),
                ("tried_seq", models.BigIntegerField(default=0)),
                ("tried_at", models.DateTimeField(null=True)),
                ("trouble", models.TextField(blank=True)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="PlanPin",
            fields=[
                ("id", models.BigIntegerField(primary_key=True, serialize=False)),
                ("piece", models.CharField(max_length=26)),
                ("stage", models.CharField(max_length=60)),
                ("day", models.DateField(null=True)),
                ("person", models.CharField(blank=True, max_length=40)),
                ("is_first", models.BooleanField(default=False)),
                ("is_off", models.BooleanField(default=False)),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("piece", "stage"), name="one_pin_per_piece_and_stage")
                ],
            },
        ),
    ]
