"""Periods of the books: a year, a quarter, a month."""

import calendar
import re
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.utils import timezone

from jobs.core.errors import Invalid

FORM = re.compile(r"([0-9]{4,5})(?:-(?:Q([1-4])|(0[1-9]|1[0-2])))?")
YEARS = (1990, 2199)


@dataclass(frozen=True, kw_only=True)
class Period:
    """A year, a quarter or a month, its first and last day included."""

    name: str
    first: date
    last: date

    @property
    def begins(self) -> datetime:
        return timezone.make_aware(datetime.combine(self.first, time.min))

    @property
    def ends(self) -> datetime:
        """Return the first moment after it."""
        return timezone.make_aware(datetime.combine(self.last + timedelta(days=1), time.min))


def read_year(text: str) -> int:
    """Read a year of the books."""
    if not re.fullmatch("[0-9]{4}", text) or not YEARS[0] < int(text) <= YEARS[1]:
        allowed = f"a year of {YEARS[0] + 1} to {YEARS[1]}"
        raise Invalid("no such year", field="year", value=text[:20], allowed=allowed)
    return int(text)


def read_period(text: str) -> Period:
    """Read a period such as ``2026``, ``2026-Q3`` or ``2026-07``."""
    found = FORM.fullmatch(text)
    if not found or not YEARS[0] <= int(found[1]) <= YEARS[1]:
        says = f"a year, quarter or month such as 2026, 2026-Q3 or 2026-07, of {YEARS[0]} to {YEARS[1]}"
        raise Invalid("no such period", field="period", value=text[:20], allowed=says)
    year, quarter, month = int(found[1]), found[2], found[3]
    if month:
        first_month = last_month = int(month)
    elif quarter:
        first_month, last_month = int(quarter) * 3 - 2, int(quarter) * 3
    else:
        first_month, last_month = 1, 12
    last_day = calendar.monthrange(year, last_month)[1]
    return Period(name=text, first=date(year, first_month, 1), last=date(year, last_month, last_day))
