from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0010_approval"),
    ]

    operations = [
        migrations.AddField("payment", "method", models.CharField(blank=True, max_length=12)),
    ]
