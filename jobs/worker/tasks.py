"""What the worker runs: the clock comes in, one call goes out. Every task may run twice."""

import time

from celery import shared_task
from django.core.management import call_command
from django.utils import timezone

from jobs.domain.clients.erasure_commands import end_holds
from jobs.domain.climate import retention
from jobs.domain.overviews import service_health
from jobs.domain.reminders import calendar, delivery
from jobs.log import database_damage
from jobs.worker import outbox

FAST_S = 5
"""A task has a time limit; a lot that begins later is the next sweep's."""


@shared_task(name="jobs.tasks.sweep")
def sweep() -> None:
    """Beat's poke: whatever is due, whether or not an earlier wake-up was lost."""
    with service_health.record_sweep() as said:
        try:
            said["messages"] = delivery.deliver_due(timezone.now(), stop=service_health.is_stopping)
        finally:
            said["effects"] = outbox.dispatch_outbox(timezone.now())


@shared_task(name="jobs.tasks.refresh_calendar")
def refresh_calendar() -> None:
    """Apart from the sweep: it works out every running wait, and reminders are not to wait for that."""
    calendar.refresh(timezone.now())


@shared_task(name="jobs.tasks.do_effects")
def do_effects() -> None:
    """What commands left to do after they were committed: lot after lot while they go fast."""
    began = time.monotonic()
    while outbox.dispatch_outbox(timezone.now()) and time.monotonic() - began < FAST_S:
        pass


@shared_task(name="jobs.tasks.thin_readings")
def thin_readings() -> None:
    """Once a night: old readings that nothing rests on any more."""
    retention.downsample(now=timezone.now())


@shared_task(name="jobs.tasks.check_database")
def check_database() -> None:
    """Once a night: a damaged page is found before somebody needs what stood on it."""
    database_damage.check()


@shared_task(name="jobs.tasks.clear_sessions")
def clear_sessions() -> None:
    """Once a night: sessions that are over hold a person's sign-in and nothing else."""
    call_command("clearsessions")


@shared_task(name="jobs.tasks.let_go")
def release_expired_holds() -> None:
    """What the law holds no longer of clients who are forgotten. Hourly: few shops run through the night."""
    end_holds(timezone.now())
