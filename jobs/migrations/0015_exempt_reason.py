"""Why the shop's exempt lines are not taxed, where the client has no certificate."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0014_invoice_details"),
    ]

    operations = [
        migrations.AddField(
            model_name="shopprofile",
            name="exempt_reason_ref",
            field=models.UUIDField(null=True),
        ),
    ]
