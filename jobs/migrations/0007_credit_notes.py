"""The invoice that a credit note takes back."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("jobs", "0006_reminder_channels")]

    operations = [
        migrations.AddField(
            model_name="paper",
            name="credits",
            field=models.CharField(blank=True, default="", max_length=30),
            preserve_default=False,
        ),
        migrations.AlterField(
            model_name="paper",
            name="kind",
            field=models.CharField(
                choices=[
                    ("delivery-checklist", "Delivery checklist"),
                    ("invoice", "Invoice"),
                    ("credit-note", "Credit note"),
                ],
                max_length=24,
            ),
        ),
    ]
