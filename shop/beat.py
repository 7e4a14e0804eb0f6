"""Beat by a clock that may be set back, on a disk that may be full: what runs when, without Django's apps.

A small file keeps when each entry last ran, so that a nightly task still runs after a night off.
Beat sends the names of tasks and runs none, so it loads neither them nor the database.
"""

import json
import logging
import logging.config
import os
import sys
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from celery import Celery, beat, signals
from celery.schedules import crontab
from celery.utils.time import maybe_make_aware
from django.conf import settings

AHEAD_ALLOWED = timedelta(seconds=1)
log = logging.getLogger(__name__)
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
app = Celery("beat", fixups=(), set_as_current=False)  # the fix-up for Django would load every app
app.config_from_object("django.conf:settings", namespace="CELERY")
app.conf.beat_schedule = {
    "sweep": {
        "task": "jobs.tasks.sweep",
        "schedule": settings.SWEEP_SECONDS,
        "options": {"expires": settings.SWEEP_SECONDS},  # sweeps do not pile up while no worker runs
    },
    "calendar": {
        "task": "jobs.tasks.refresh_calendar",
        "schedule": 3 * settings.SWEEP_SECONDS,  # calendar clients fetch it every quarter of an hour
        "options": {"expires": 3 * settings.SWEEP_SECONDS},
    },
    "plan": {
        "task": "jobs.tasks.plan",
        "schedule": settings.SWEEP_SECONDS,
        "options": {"expires": settings.SWEEP_SECONDS},
    },
    "let go": {
        "task": "jobs.tasks.let_go",
        "schedule": crontab(minute=40),
        "options": {"expires": 3600},
    },
    "check database": {
        "task": "jobs.tasks.check_database",
        "schedule": crontab(hour=3, minute=50),
        "options": {"expires": 6 * 3600},
    },
    "clear sessions": {
        "task": "jobs.tasks.clear_sessions",
        "schedule": crontab(hour=3, minute=55),
        "options": {"expires": 6 * 3600},
    },
    "thin readings": {
        "task": "jobs.tasks.thin_readings",
        "schedule": crontab(hour=3, minute=20),
        "options": {"expires": 6 * 3600},
    },
}


@signals.setup_logging.connect
def set_up_log(**_: object) -> None:
    """Configure logging as in the whole service; Django does it only where its apps are loaded."""
    logging.config.dictConfig(settings.LOGGING)


class Scheduler(beat.Scheduler):
    """A scheduler for a clock set back and a full disk: Celery's own would wait for the old times, or end."""

    def __init__(self, *args: Any, schedule_filename: str, **kwargs: Any) -> None:
        self.file = Path(schedule_filename)
        super().__init__(*args, **kwargs)

    def setup_schedule(self) -> None:
        super().setup_schedule()
        for name, at in self.kept().items():
            if name in self.schedule:
                self.schedule[name].last_run_at = at

    def kept(self) -> dict[str, datetime]:
        """Return when each entry last ran; empty where the file is missing or unreadable."""
        with suppress(OSError, ValueError, AttributeError, TypeError):
            kept = json.loads(self.file.read_text("utf-8")).items()
            return {name: maybe_make_aware(datetime.fromisoformat(at)) for name, at in kept}
        return {}

    def sync(self) -> None:
        times = {name: entry.last_run_at.isoformat() for name, entry in self.schedule.items()}
        fresh = self.file.with_suffix(".new")
        try:
            fresh.write_text(json.dumps(times), "utf-8")
            fresh.replace(self.file)
        except OSError as problem:
            log.warning("the times of beat were not kept: %s", problem)

    def tick(self, *args: Any, **kwargs: Any) -> float:
        self.forget_the_future()
        return float(super().tick(*args, **kwargs))

    def forget_the_future(self) -> None:
        """Count an entry that last ran in the future from now on: the clock was set back."""
        behind = False
        for entry in self.schedule.values():
            now = maybe_make_aware(entry.default_now())
            if maybe_make_aware(entry.last_run_at) > now + AHEAD_ALLOWED:
                entry.last_run_at, behind = now, True
        if behind:
            self._heap = None  # Celery rebuilds it from the entries


def main(file: str = settings.CELERY_BEAT_SCHEDULE_FILENAME) -> None:
    """Run beat with this file, without the command line of the queue, which takes 10 MB."""
    app.Beat(scheduler_cls=Scheduler, schedule=file, loglevel="WARNING", quiet=True).run()


if __name__ == "__main__":
    main(*sys.argv[1:])
