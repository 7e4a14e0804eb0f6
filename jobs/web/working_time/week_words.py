"""Hours of a week in words, and clocks as people type them."""

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from django.utils.dates import WEEKDAYS, WEEKDAYS_ABBR
from django.utils.translation import gettext as _

from jobs.domain.working_time.abilities import NEVER, NOT_ALONE
from jobs.web.kit.stored_translations import translate_stored

Week = Sequence[Sequence[Sequence[str]]]
TYPED = re.compile(r"(\d{1,2})(?:[:.](\d{2}))?|(\d{1,2})(\d{2})", re.ASCII)
"""A time of day as typed: 8, 8:30, 8.30, 830."""


def typed_clock(text: str) -> str:
    """Return a time of day as it is stored, such as 08:30; what is none stays as it was typed."""
    text = text.strip()
    found = TYPED.fullmatch(text)
    if found is None:
        return text
    hour, minute = found[1] or found[3], found[2] or found[4] or "00"
    return f"{int(hour):02d}:{minute}"


def short_clock(clock: str) -> str:
    """Return a stored clock as pages show it: 8:30 for 08:30."""
    return clock.removeprefix("0")


def week_words(week: Week) -> list[dict[str, Any]]:
    """Return the days that have hours, days in a row with the same hours together."""
    rows = []
    for first, last, day in _runs(week):
        if day:
            days = str(WEEKDAYS_ABBR[first])
            if last > first:
                says = _("%(first)s to %(last)s")
                days = says % {"first": WEEKDAYS_ABBR[first], "last": WEEKDAYS_ABBR[last]}
            rows.append({"days": days, "hours": ", ".join(span_words(a, b) for a, b in day)})
    return rows


def _runs(week: Week) -> Iterator[tuple[int, int, Sequence[Sequence[str]]]]:
    """Yield the first and the last of days in a row that have the same spans."""
    first = 0
    for n in range(1, len(week) + 1):
        if n == len(week) or list(week[n]) != list(week[first]):
            yield first, n - 1, week[first]
            first = n


def span_words(begins: str, ends: str) -> str:
    """Return a span of a day: "8:00–12:00"."""
    return f"{short_clock(begins)}–{short_clock(ends)}"


def limit_words(limits: Mapping[str, str]) -> list[str]:
    """Return which work somebody does not do alone, and which not at all."""
    found = []
    for limit, says in ((NOT_ALONE, _("Not alone: %(work)s")), (NEVER, _("Leaves to others: %(work)s"))):
        if work := [translate_stored(name) for name, said in limits.items() if said == limit]:
            found.append(says % {"work": ", ".join(work)})
    return found


def part_words(begins: str, ends: str) -> str:
    """Return a part of a day: "from 13:00", "until 12:00", "10:00–15:00"; empty for a whole day."""
    if begins and ends:
        return span_words(begins, ends)
    if begins:
        return _("from %(time)s") % {"time": short_clock(begins)}
    return _("until %(time)s") % {"time": short_clock(ends)} if ends else ""


def day_name(n: int) -> str:
    """Return the name of a weekday, Monday being 0."""
    return str(WEEKDAYS[n])
