"""The Django app of the job log."""

from importlib import import_module
from pathlib import Path

from django.apps import AppConfig

HERE = Path(__file__).parent
REGISTERING = ("domain/*/gate_rules.py", "domain/*/*projection.py", "documents/[!_]*.py")
"""Files that register gate rules, what follows from events, and kinds of paper."""


class JobsConfig(AppConfig):
    name = "jobs"
    label = "jobs"
    verbose_name = "Jobs"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from jobs.log import triggers

        for pattern in REGISTERING:
            for file in sorted(HERE.glob(pattern)):
                import_module(".".join(("jobs", *file.relative_to(HERE).with_suffix("").parts)))
        triggers.register()
