"""The Django app of the job log."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    name = "jobs"
    label = "jobs"
    verbose_name = "Jobs"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from jobs.domain import gate_rules
        from jobs.log import projectors, triggers

        gate_rules.load()
        projectors.load()
        triggers.register()
