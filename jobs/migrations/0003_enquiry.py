"""What an enquiry asks for, and pictures that belong to a commission."""

from typing import Any

from django.db import migrations, models
from django.db.migrations.state import StateApps


def name_commissions(apps: StateApps, _editor: Any) -> None:
    """Write the commission of each picture of a stage."""
    for picture in apps.get_model("jobs", "Picture").objects.all():
        picture.commission = picture.piece.rpartition("-")[0]
        picture.save(update_fields=["commission"])


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0002_equipment_clamp_kind"),
    ]

    operations = [
        migrations.AddField("commission", "asks_for_ref", models.UUIDField(null=True)),
        migrations.AddField(
            "commission", "budget", models.DecimalField(decimal_places=2, max_digits=12, null=True)
        ),
        migrations.AddField(
            "commission",
            "budget_currency",
            models.CharField(blank=True, default="", max_length=3),
            preserve_default=False,
        ),
        migrations.AddField("commission", "heard_ref", models.UUIDField(null=True)),
        migrations.AddField("commission", "wanted_on", models.DateField(null=True)),
        migrations.AddField(
            "picture",
            "commission",
            models.CharField(db_index=True, default="", max_length=20),
            preserve_default=False,
        ),
        migrations.AlterField("picture", "piece", models.CharField(blank=True, db_index=True, max_length=26)),
        migrations.AlterField("picture", "stage", models.CharField(blank=True, max_length=60)),
        migrations.RunPython(name_commissions, migrations.RunPython.noop),
    ]
