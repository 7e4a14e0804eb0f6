"""The task queue: its settings are the CELERY_ ones; what runs when is in ``shop.beat``."""

import logging
import os
from typing import Any

from celery import Celery, bootsteps, signals
from django.conf import settings
from django.utils import timezone
from redis import RedisError

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
app = Celery("shop")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()


@signals.setup_logging.connect
def keep_our_logging(**_: object) -> None:
    """Celery replaces the handlers of the root logger unless something listens to this signal."""


@signals.worker_ready.connect
def sweep_at_once(**_: object) -> None:
    """What fell due while nothing ran need not wait for beat."""
    app.send_task("jobs.tasks.sweep")


@signals.worker_shutting_down.connect
def leave_the_rest(**_: object) -> None:
    """A sweep under way ends after the message in hand, so that a stop takes seconds."""
    from jobs.domain.overviews import service_health

    service_health.stop_soon()


class Pulse(bootsteps.StartStopStep):
    """The worker's sign of life, from its own loop: it comes even while every task hangs."""

    requires = {"celery.worker.components:Timer"}

    def start(self, worker: Any) -> None:
        self.beat(worker)
        self.timer = worker.timer.call_repeatedly(settings.SWEEP_SECONDS, self.beat, (worker,))

    def beat(self, worker: Any) -> None:
        from jobs.domain.overviews import service_health

        try:
            service_health.pulse(worker.hostname, timezone.now())
        except RedisError as away:
            logging.getLogger(__name__).warning("no sign of life left: %s", away)

    def stop(self, worker: Any) -> None:
        self.timer.cancel()


app.steps["worker"].add(Pulse)
