"""What a quote includes and leaves out, and what is kept of an acceptance."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("jobs", "0016_costs")]
    operations = [
        migrations.AddField("offer", "included_ref", models.UUIDField(null=True)),
        migrations.AddField("offer", "excluded_ref", models.UUIDField(null=True)),
        migrations.AddField(
            "offer", "how", models.CharField(blank=True, default="", max_length=12), preserve_default=False
        ),
        migrations.AddField(
            "offer",
            "shown_sha256",
            models.CharField(blank=True, default="", max_length=64),
            preserve_default=False,
        ),
        migrations.AddField(
            "offer", "agreed_total", models.DecimalField(decimal_places=2, max_digits=14, null=True)
        ),
        migrations.AddField(
            "offer", "agreed_deposit", models.DecimalField(decimal_places=2, max_digits=14, null=True)
        ),
        migrations.AddField("offer", "signed_copy", models.BigIntegerField(null=True)),
    ]
