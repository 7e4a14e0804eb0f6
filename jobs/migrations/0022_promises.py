"""What plans told of promises and stages, and which promises are at risk."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0021_plan"),
    ]

    operations = [
        migrations.CreateModel(
            name="PromiseRisk",
            fields=[
                (
                    "commission",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="risk",
                        serialize=False,
                        to="jobs.commission",
                    ),
                ),
                ("promised", models.DateField()),
                ("in_eight_of_ten", models.DateField()),
                ("plans", models.PositiveIntegerField(default=0)),
                ("calm", models.PositiveIntegerField(default=0)),
                ("at_risk_since", models.DateTimeField(null=True)),
                ("held_by", models.CharField(blank=True, max_length=200)),
                ("helps", models.CharField(blank=True, max_length=200)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="PromiseTold",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("seq", models.BigIntegerField(unique=True)),
                ("commission", models.CharField(db_index=True, max_length=20)),
                ("told_at", models.DateTimeField()),
                ("promise_on", models.DateField()),
                ("ready_on", models.DateField(null=True)),
                ("in_half", models.DateField(null=True)),
                ("in_eight_of_ten", models.DateField(null=True)),
                ("in_nineteen_of_twenty", models.DateField(null=True)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="StagePlanned",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("seq", models.BigIntegerField(unique=True)),
                ("piece", models.CharField(db_index=True, max_length=26)),
                ("stage", models.CharField(max_length=60)),
                ("kind", models.CharField(max_length=60)),
                ("minutes", models.PositiveIntegerField()),
                ("begins", models.DateTimeField()),
                ("started_at", models.DateTimeField()),
            ],
            options={
                "abstract": False,
            },
        ),
    ]
