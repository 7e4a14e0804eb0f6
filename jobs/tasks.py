"""What the worker runs: the clock comes in, one call goes out. Every task may run twice."""

from celery import shared_task
from django.utils import timezone

from jobs import calendar_entries, effects, engine, reminders, thinning


@shared_task
def sweep() -> None:
    """Beat's poke: whatever is due, whether or not an earlier wake-up was lost."""
    with engine.swept() as said:
        try:
            said["messages"] = reminders.deliver_due(timezone.now(), stop=engine.is_stopping)
        finally:
            said["effects"] = effects.do_due_effects(timezone.now())
            said["calendar"] = calendar_entries.refresh(timezone.now())


@shared_task
def do_effects() -> None:
    """What commands left to do after they were committed."""
    effects.do_due_effects(timezone.now())


@shared_task
def thin_readings() -> None:
    """Once a night: old readings that nothing rests on any more."""
    thinning.thin(now=timezone.now())
