"""The task queue: its settings are the CELERY_ ones, what runs when is here."""

import os

from celery import Celery, signals
from django.conf import settings

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
app = Celery("shop")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
app.conf.beat_schedule = {
    "sweep": {
        "task": "jobs.tasks.sweep",
        "schedule": settings.SWEEP_SECONDS,
        "options": {"expires": settings.SWEEP_SECONDS},  # pokes do not pile up while no worker runs
    }
}


@signals.setup_logging.connect
def keep_our_logging(**_: object) -> None:
    """Celery replaces the handlers of the root logger unless something listens to this signal."""


@signals.worker_ready.connect
def sweep_at_once(**_: object) -> None:
    """What fell due while nothing ran need not wait for beat."""
    app.send_task("jobs.tasks.sweep")
