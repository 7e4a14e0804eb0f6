"""Links that mails carry, beside the one that is handed over."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("jobs", "0019_client_answers")]

    operations = [
        migrations.RemoveConstraint(model_name="clientlink", name="one_link_per_commission"),
        migrations.AddField(
            model_name="clientlink",
            name="mail",
            field=models.CharField(blank=True, default="", max_length=40),
            preserve_default=False,
        ),
        migrations.AddConstraint(
            model_name="clientlink",
            constraint=models.UniqueConstraint(
                fields=["commission"],
                condition=models.Q(revoked_at=None, mail=""),
                name="one_handed_link_per_commission",
            ),
        ),
    ]
