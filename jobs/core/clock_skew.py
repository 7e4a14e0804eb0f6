"""The skew of a device's clock against the shop's."""

from datetime import datetime, timedelta

from django.utils.dateparse import parse_datetime

from jobs.core.errors import Invalid

SKEW_TOLD = timedelta(minutes=1)


def skew_of(told: str | None, now: datetime) -> timedelta:
    """Return how far the clock of ``Device-Time`` is ahead of the shop's; nothing for less than a minute."""
    skew = moment(told, field="Device-Time") - now if told is not None else timedelta()
    return skew if abs(skew) >= SKEW_TOLD else timedelta()


def clock_notices(told: str | None, now: datetime) -> list[str]:
    """Return a notice if the device's clock is a minute or more off."""
    skew = skew_of(told, now)
    if not skew:
        return []
    side = "ahead of" if skew > timedelta() else "behind"
    return [f"this device's clock is {abs(skew).total_seconds():.0f} seconds {side} the shop's"]


def moment(text: str, *, field: str) -> datetime:
    """Parse a time with its zone; refuse any other text."""
    try:
        read = parse_datetime(text.strip())
    except ValueError:
        read = None
    if read is None or read.tzinfo is None:
        raise Invalid(
            "not a time with its zone", field=field, value=text[:40], allowed="such as 2026-05-24T14:30:00Z"
        )
    return read
