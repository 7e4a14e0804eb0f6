from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("jobs", "0010_invoice_data_and_receivables")]

    operations = [
        migrations.AddField(
            model_name="airmean",
            name="frozen",
            field=models.BooleanField(default=False),
        ),
    ]
