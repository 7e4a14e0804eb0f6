from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("jobs", "0013_offers")]

    operations = [
        migrations.AlterField(
            model_name="paper",
            name="kind",
            field=models.CharField(
                choices=[
                    ("delivery-checklist", "Delivery checklist"),
                    ("invoice", "Invoice"),
                    ("credit-note", "Credit note"),
                    ("receipt", "Receipt"),
                    ("statement", "Statement of account"),
                    ("quote", "Quote"),
                    ("change-order", "Change order"),
                    ("job-sheet", "Job sheet"),
                    ("care-sheet", "Care sheet"),
                ],
                max_length=24,
            ),
        ),
    ]
