"""The axis of a plan: moments as slots of calendar time, counted from its origin."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from django.utils import timezone

from calcs.planning.problem import SLOT_MINUTES, slots_of

SLOT = timedelta(minutes=SLOT_MINUTES)
SLOTS_OF_DAY = timedelta(days=1) // SLOT


@dataclass(frozen=True, kw_only=True)
class Axis:
    """Slots from an aware moment on. They count elapsed time, so a change of the clock moves no length."""

    origin: datetime
    horizon: int

    @classmethod
    def begin(cls, now: datetime, days: int) -> "Axis":
        """Return the axis from the slot of a moment on, for a number of days."""
        stamp = int(now.timestamp()) // int(SLOT.total_seconds()) * int(SLOT.total_seconds())
        return cls(origin=datetime.fromtimestamp(stamp, UTC), horizon=days * SLOTS_OF_DAY)

    def moment(self, slot: int) -> datetime:
        """Return the moment at which a slot begins."""
        return self.origin + slot * SLOT

    def first_from(self, moment: datetime) -> int:
        """Return the first slot that begins at a moment or later; negative before the origin."""
        return -((self.origin - moment) // SLOT)

    def last_until(self, moment: datetime) -> int:
        """Return the number of whole slots from the origin to a moment; negative before the origin."""
        return (moment - self.origin) // SLOT

    def within(self, spans: Iterable[tuple[datetime, datetime]]) -> int:
        """Return the slots that lie whole in these spans of moments."""
        ends = [(max(0, self.first_from(a)), min(self.horizon, self.last_until(b))) for a, b in spans]
        return slots_of([(a, b) for a, b in ends if a < b])

    def touched(self, spans: Iterable[tuple[datetime, datetime]]) -> int:
        """Return the slots that these spans of moments touch."""
        ends = [(max(0, self.last_until(a)), min(self.horizon, self.first_from(b))) for a, b in spans]
        return slots_of([(a, b) for a, b in ends if a < b])

    def day(self, slot: int) -> date:
        """Return the day of the shop's clock in which a slot begins."""
        return timezone.localdate(self.moment(slot))

    @property
    def last_day(self) -> date:
        """Return the last day that the axis reaches into."""
        return timezone.localdate(self.moment(self.horizon))


def slots(length: timedelta) -> int:
    """Return the number of slots that a length takes, the last one begun counted."""
    return -(-length // SLOT)


def day_span(first: date, last: date) -> tuple[datetime, datetime]:
    """Return the span of whole days of the shop's clock, both included."""
    return _midnight(first), _midnight(last + timedelta(days=1))


def _midnight(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time()))
