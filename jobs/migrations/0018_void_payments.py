"""Payments that were mistyped and are void."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("jobs", "0017_quote_declined")]

    operations = [
        migrations.AddField(model_name="payment", name="voided_at", field=models.DateTimeField(null=True)),
        migrations.AddField(
            model_name="payment", name="voided_by", field=models.CharField(blank=True, max_length=60)
        ),
        migrations.AddField(model_name="payment", name="void_ref", field=models.UUIDField(null=True)),
    ]
