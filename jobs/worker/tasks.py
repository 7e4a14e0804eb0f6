"""The worker's tasks: each passes the present time to one call. Every task may run twice."""

import subprocess
import sys
import time

from celery import shared_task
from django.conf import settings
from django.core.management import call_command
from django.utils import timezone

from jobs.domain.clients.erasure_commands import end_holds
from jobs.domain.climate import retention
from jobs.domain.overviews import service_health
from jobs.domain.planning import publishing
from jobs.domain.reminders import delivery, promise_risks
from jobs.domain.reminders.feeds import calendar
from jobs.log import database_damage
from jobs.worker import outbox

FAST_S = 5
"""Seconds in which a batch may start: a task has a time limit, and the next sweep takes the rest."""


@shared_task(name="jobs.tasks.sweep")
def sweep() -> None:
    """Deliver due reminders and outbox messages, whether or not an earlier wake-up was lost."""
    with service_health.record_sweep() as said:
        try:
            said["messages"] = delivery.deliver_due(timezone.now(), stop=service_health.is_stopping)
        finally:
            said["effects"] = outbox.dispatch_outbox(timezone.now())


@shared_task(name="jobs.tasks.refresh_calendar")
def refresh_calendar() -> None:
    """Bring the calendar entries up to date, apart from the sweep.

    It estimates every running wait, and reminders must not wait for that.
    """
    calendar.refresh(timezone.now())


@shared_task(name="jobs.tasks.do_effects")
def do_effects() -> None:
    """Dispatch outbox messages, batch after batch, for at most ``FAST_S`` seconds."""
    began = time.monotonic()
    while outbox.dispatch_outbox(timezone.now()) and time.monotonic() - began < FAST_S:
        pass


@shared_task(name="jobs.tasks.plan")
def plan() -> None:
    """Make the plan again where one is due, apart from the sweep: reminders must not wait for it."""
    now = timezone.now()
    if publishing.keep_up(now):
        promise_risks.follow_plan(now)


@shared_task(name="jobs.tasks.thin_readings")
def thin_readings() -> None:
    """Delete old readings that nothing rests on any more, once a night."""
    retention.downsample(now=timezone.now())


@shared_task(name="jobs.tasks.check_database")
def check_database() -> None:
    """Check the database for damaged pages once a night, before somebody needs their content."""
    database_damage.check()


@shared_task(name="jobs.tasks.clear_sessions")
def clear_sessions() -> None:
    """Delete expired sessions once a night; they hold nothing but a person's sign-in."""
    call_command("clearsessions")


@shared_task(name="jobs.tasks.let_go")
def release_expired_holds() -> None:
    """Delete texts of forgotten clients whose retention has ended.

    It runs hourly, because few shops run through the night.
    """
    end_holds(timezone.now())


@shared_task(name="jobs.tasks.open_demo")
def open_demo() -> None:
    """Load the demo shop in another process: a task may not last as long."""
    _manage("load_demo")


@shared_task(name="jobs.tasks.leave_demo")
def leave_demo() -> None:
    """Empty the demo shop in another process."""
    _manage("leave_demo")


def _manage(verb: str) -> None:
    subprocess.Popen([sys.executable, "manage.py", verb], cwd=settings.BASE_DIR, start_new_session=True)
