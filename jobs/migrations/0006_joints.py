from django.db import migrations

import jobs.core.canonical_json


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0004_paper_sending"),
    ]

    operations = [
        migrations.AddField(
            model_name="stage",
            name="left_open",
            field=jobs.core.canonical_json.CanonicalField(default=list),
        ),
        migrations.AddField(
            model_name="stage",
            name="closings",
            field=jobs.core.canonical_json.CanonicalField(default=dict),
        ),
        migrations.AddField(
            model_name="attempt",
            name="closings",
            field=jobs.core.canonical_json.CanonicalField(default=dict),
        ),
    ]
