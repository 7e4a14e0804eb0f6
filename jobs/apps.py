"""The Django app of the job log."""

from importlib import import_module
from pathlib import Path

from django.apps import AppConfig

REGISTERING = ("gate_rules.py", "*projection.py")
"""Files in the rooms of the domain that register gate rules, and what follows from events."""


class JobsConfig(AppConfig):
    name = "jobs"
    label = "jobs"
    verbose_name = "Jobs"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from jobs.log import triggers

        for pattern in REGISTERING:
            for file in sorted((Path(__file__).parent / "domain").glob(f"*/{pattern}")):
                import_module(f"jobs.domain.{file.parent.name}.{file.stem}")
        triggers.register()
