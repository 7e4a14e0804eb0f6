"""Prices typed with their tax; the state and days of a client's exempt certificate."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0018_deposit_sum"),
    ]

    operations = [
        migrations.AddField(
            model_name="client",
            name="exempt_from_ref",
            field=models.UUIDField(null=True),
        ),
        migrations.AddField(
            model_name="client",
            name="exempt_state_ref",
            field=models.UUIDField(null=True),
        ),
        migrations.AddField(
            model_name="client",
            name="exempt_until_ref",
            field=models.UUIDField(null=True),
        ),
        migrations.AddField(
            model_name="offeralternative",
            name="with_tax",
            field=models.BooleanField(default=False),
        ),
        migrations.AddField(
            model_name="offerline",
            name="with_tax",
            field=models.BooleanField(default=False),
        ),
        migrations.AddField(
            model_name="priceline",
            name="with_tax",
            field=models.BooleanField(default=False),
        ),
    ]
