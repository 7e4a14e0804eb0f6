"""Bank account and answers of the shop, and what clients want invoices to name."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0013_shop_logo"),
    ]

    operations = [
        migrations.AddField(
            model_name="client",
            name="buyer_reference_ref",
            field=models.UUIDField(null=True),
        ),
        migrations.AddField(
            model_name="client",
            name="endpoint_ref",
            field=models.UUIDField(null=True),
        ),
        migrations.AddField(
            model_name="shopprofile",
            name="account_name_ref",
            field=models.UUIDField(null=True),
        ),
        migrations.AddField(
            model_name="shopprofile",
            name="bic_ref",
            field=models.UUIDField(null=True),
        ),
        migrations.AddField(
            model_name="shopprofile",
            name="endpoint_ref",
            field=models.UUIDField(null=True),
        ),
        migrations.AddField(
            model_name="shopprofile",
            name="iban_ref",
            field=models.UUIDField(null=True),
        ),
        migrations.AddField(
            model_name="shopprofile",
            name="person_ref",
            field=models.UUIDField(null=True),
        ),
        migrations.AddField(
            model_name="shopprofile",
            name="phone_ref",
            field=models.UUIDField(null=True),
        ),
    ]
