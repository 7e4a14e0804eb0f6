"""A clock that was set back: the latest time seen is stored, and health reports how far back it is.

Sweeps go on by the present clock. The warning ends when the clock reaches the mark again, or when the owner
confirms the clock.
"""

from datetime import datetime, timedelta

from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.models import Heartbeat

NAME = "clock"
BACK_ALLOWED = timedelta(minutes=5)
"""More than time servers correct; common practice, no source."""
STEP = timedelta(minutes=1)
"""Least step by which the mark moves on."""


def look(now: datetime) -> None:
    """Move the mark on with the clock, never back."""
    latest = _latest()
    if latest is None or now > latest + STEP:
        _set(now)


def is_back(now: datetime) -> bool:
    """Return whether the clock is behind a time that was seen before."""
    return _was_ahead(now) is not None


def _was_ahead(now: datetime) -> datetime | None:
    """Return the time that was seen before, where the clock is behind it by more than is allowed."""
    latest = _latest()
    return latest if latest is not None and now < latest - BACK_ALLOWED else None


def reasons(now: datetime) -> list[str]:
    """Return the health reason for a clock that was set back; empty where it was not."""
    latest = _was_ahead(now)
    if latest is None:
        return []
    return [
        _(
            "the clock of this machine jumped back: it says %(now)s and has said %(latest)s before. Set it "
            "right; if it is right now, say so in the engine room and look over what was recorded meanwhile"
        )
        % {"now": _told(now), "latest": _told(latest)}
    ]


def accept(now: datetime) -> None:
    """Accept the clock as right from now on, because the owner has checked it."""
    _set(now)


def _latest() -> datetime | None:
    return Heartbeat.objects.filter(name=NAME).values_list("at", flat=True).first()


def _set(at: datetime) -> None:
    Heartbeat.objects.update_or_create(name=NAME, defaults={"at": at, "said": {}})


def _told(at: datetime) -> str:
    return f"{timezone.localtime(at):%Y-%m-%d %H:%M}"
