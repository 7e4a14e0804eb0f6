"""What the worker runs: the clock comes in, one call goes out. Every task may run twice."""

from celery import shared_task
from django.utils import timezone

from jobs import effects, reminders


@shared_task
def sweep() -> None:
    """Beat's poke: whatever is due, whether or not an earlier wake-up was lost."""
    try:
        reminders.deliver_due(timezone.now())
    finally:
        do_effects()


@shared_task
def do_effects() -> None:
    """What commands left to do after they were committed."""
    effects.do_due_effects(timezone.now())
