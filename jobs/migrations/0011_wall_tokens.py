"""Tokens may open a wall."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0005_payment_method"),
    ]

    operations = [
        migrations.AlterField(
            model_name="token",
            name="scope",
            field=models.CharField(
                choices=[
                    ("person", "All that I may do"),
                    ("readings", "A sensor: hands in readings, nothing else"),
                    ("calendar", "A calendar: reads my feed of times, nothing else"),
                    ("wall", "A wall: shows work and waits, no money, no client"),
                    ("wall-names", "A wall: shows work, waits and clients' names, no money"),
                ],
                default="person",
                max_length=10,
            ),
        ),
    ]
