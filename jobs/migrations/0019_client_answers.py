from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0018_void_payments"),
    ]

    operations = [
        migrations.AlterField(
            model_name="reminderdue",
            name="kind",
            field=models.CharField(
                choices=[
                    ("ready", "Ready"),
                    ("may be ready", "May be ready: look at it"),
                    ("window opens", "Window opens"),
                    ("window closes soon", "Window closes soon"),
                    ("too cold", "Too cold, or suspect"),
                    ("not yet", "Not yet ready after all"),
                    ("safety task", "Safety task"),
                    ("safety task at closing", "Safety task at closing time"),
                    ("promise at risk", "Promise date at risk"),
                    ("client not told", "Client not told for a while"),
                    ("payment due", "Payment due or late"),
                    ("deliver tomorrow", "Deliver tomorrow"),
                    ("supply low", "Supply low or past its date"),
                    ("client asked", "Client asked something"),
                    ("client said yes", "Client said yes"),
                    ("client said no", "Client said no"),
                ],
                max_length=24,
            ),
        ),
        migrations.AlterField(
            model_name="reminderreply",
            name="kind",
            field=models.CharField(
                choices=[
                    ("ready", "Ready"),
                    ("may be ready", "May be ready: look at it"),
                    ("window opens", "Window opens"),
                    ("window closes soon", "Window closes soon"),
                    ("too cold", "Too cold, or suspect"),
                    ("not yet", "Not yet ready after all"),
                    ("safety task", "Safety task"),
                    ("safety task at closing", "Safety task at closing time"),
                    ("promise at risk", "Promise date at risk"),
                    ("client not told", "Client not told for a while"),
                    ("payment due", "Payment due or late"),
                    ("deliver tomorrow", "Deliver tomorrow"),
                    ("supply low", "Supply low or past its date"),
                    ("client asked", "Client asked something"),
                    ("client said yes", "Client said yes"),
                    ("client said no", "Client said no"),
                ],
                max_length=24,
            ),
        ),
    ]
