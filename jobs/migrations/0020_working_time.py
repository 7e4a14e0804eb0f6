"""When people work, on which days nobody does, and how firm a promise is."""

import django.db.models.deletion
from django.db import migrations, models

import jobs.core.canonical_json


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0019_tax_inside"),
    ]

    operations = [
        migrations.CreateModel(
            name="DayOff",
            fields=[
                ("id", models.BigIntegerField(primary_key=True, serialize=False)),
                ("person", models.CharField(blank=True, max_length=40)),
                ("first", models.DateField()),
                ("last", models.DateField()),
                ("begins", models.CharField(blank=True, max_length=5)),
                ("ends", models.CharField(blank=True, max_length=5)),
                ("reason_ref", models.UUIDField(null=True)),
                ("is_cancelled", models.BooleanField(default=False)),
                ("version", models.BigIntegerField()),
            ],
            options={
                "ordering": ("first", "last", "id"),
            },
        ),
        migrations.CreateModel(
            name="WorkingHours",
            fields=[
                ("id", models.BigIntegerField(primary_key=True, serialize=False)),
                ("person", models.CharField(max_length=40, unique=True)),
                ("week", jobs.core.canonical_json.CanonicalField(null=True)),
                ("unwanted", jobs.core.canonical_json.CanonicalField(default=list)),
                ("back_until", models.CharField(blank=True, max_length=5)),
                ("limits", jobs.core.canonical_json.CanonicalField(default=dict)),
                ("version", models.BigIntegerField()),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.AddField(
            model_name="commission",
            name="promise_weight",
            field=models.PositiveSmallIntegerField(default=1),
        ),
        migrations.CreateModel(
            name="Blackout",
            fields=[
                ("id", models.BigIntegerField(primary_key=True, serialize=False)),
                ("first", models.DateField()),
                ("last", models.DateField()),
                ("reason_ref", models.UUIDField(null=True)),
                ("is_cancelled", models.BooleanField(default=False)),
                ("version", models.BigIntegerField()),
                (
                    "commission",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="blackouts",
                        to="jobs.commission",
                    ),
                ),
            ],
            options={
                "ordering": ("first", "last", "id"),
            },
        ),
    ]
