"""Whether the client's no to a quote stops a commission."""

from django.db import migrations, models


def mark(apps, schema_editor):
    """Mark the commissions whose newest given quote is declined, as folding the log would."""
    offers = apps.get_model("jobs", "Offer").objects.filter(kind="quote").exclude(step="draft")
    newest = {
        commission: step for commission, step in offers.order_by("version").values_list("commission", "step")
    }
    declined = [commission for commission, step in newest.items() if step == "declined"]
    apps.get_model("jobs", "Commission").objects.filter(id__in=declined).update(quote_declined=True)


class Migration(migrations.Migration):
    dependencies = [("jobs", "0016_look_at")]

    operations = [
        migrations.AddField(
            model_name="commission", name="quote_declined", field=models.BooleanField(default=False)
        ),
        migrations.RunPython(mark, migrations.RunPython.noop),
    ]
