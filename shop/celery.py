"""The task queue: its settings are the CELERY_ ones; the schedule is in ``shop.beat``."""

import faulthandler
import logging
import os
import threading
import time
from typing import Any

from celery import Celery, bootsteps, signals
from django.conf import settings
from django.utils import timezone
from redis import RedisError

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
app = Celery("shop")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["jobs.worker"])


@signals.setup_logging.connect
def keep_our_logging(**_: object) -> None:
    """Keep the log handlers: Celery replaces those of the root logger unless this signal has a listener."""


@signals.worker_ready.connect
def sweep_at_once(**_: object) -> None:
    """Queue a sweep as the worker starts: what fell due while nothing ran need not wait for beat."""
    app.send_task("jobs.tasks.sweep")


@signals.worker_shutting_down.connect
def leave_the_rest(**_: object) -> None:
    """Let a sweep under way end after the current message, so that a stop takes seconds."""
    from jobs.domain.overviews import service_health

    service_health.stop_soon()


class Pulse(bootsteps.StartStopStep):
    """The worker's heartbeat, from its own loop: it comes even while every task hangs."""

    requires = {"celery.worker.components:Timer"}

    def start(self, worker: Any) -> None:
        self.beat(worker)
        self.timer = worker.timer.call_repeatedly(settings.SWEEP_SECONDS, self.beat, (worker,))

    def beat(self, worker: Any) -> None:
        from jobs.domain.overviews import service_health

        try:
            service_health.worker_heartbeat(worker.hostname, timezone.now())
        except RedisError as away:
            logging.getLogger(__name__).warning("no sign of life left: %s", away)

    def stop(self, worker: Any) -> None:
        self.timer.cancel()


class TimeLimit(bootsteps.StartStopStep):
    """Ends the worker when a task hangs: no thread can be ended alone, and the launcher starts it again.

    The timer needs neither a thread nor the interpreter's lock, so it works whatever a task hangs in.
    """

    STDERR = 2

    def __init__(self, worker: Any, *, limit_s: float = settings.CELERY_TASK_TIME_LIMIT, **more: Any) -> None:
        super().__init__(worker, **more)
        self.limit_s = limit_s
        self.began: dict[str, float] = {}
        self.lock = threading.Lock()

    def start(self, worker: Any) -> None:
        signals.task_prerun.connect(self.begin)
        signals.task_postrun.connect(self.end)

    def begin(self, *, task_id: str, **_: object) -> None:
        with self.lock:
            self.began[task_id] = time.monotonic()
            self.watch()

    def end(self, *, task_id: str, **_: object) -> None:
        with self.lock:
            self.began.pop(task_id, None)
            self.watch()

    def watch(self) -> None:
        """Set the timer to the limit of the oldest task. Its dump names lines of code and no values."""
        if not self.began:
            faulthandler.cancel_dump_traceback_later()
            return
        left = self.limit_s - (time.monotonic() - min(self.began.values()))
        faulthandler.dump_traceback_later(max(left, 0.001), exit=True, file=self.STDERR)


app.steps["worker"] |= {Pulse, TimeLimit}
