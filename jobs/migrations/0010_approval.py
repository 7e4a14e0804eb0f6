"""What a client is asked to approve, and the yes to it."""

import django.db.models.deletion
from django.db import migrations, models

import jobs.core.canonical_json


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0006_joints"),
    ]

    operations = [
        migrations.CreateModel(
            name="Approval",
            fields=[
                ("id", models.BigIntegerField(primary_key=True, serialize=False)),
                ("piece", models.CharField(db_index=True, max_length=26)),
                (
                    "what",
                    models.CharField(choices=[("drawing", "Drawing"), ("sample", "Sample")], max_length=8),
                ),
                ("shown", jobs.core.canonical_json.CanonicalField()),
                ("asked_at", models.DateTimeField()),
                ("asked_by", models.CharField(max_length=60)),
                ("approved_at", models.DateTimeField(null=True)),
                ("approved_by", models.CharField(blank=True, max_length=60)),
                ("link", models.BigIntegerField(null=True)),
                (
                    "commission",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="approvals",
                        to="jobs.commission",
                    ),
                ),
            ],
            options={"ordering": ("asked_at", "id")},
        ),
    ]
