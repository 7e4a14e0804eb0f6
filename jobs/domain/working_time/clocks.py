"""Clocks of a day as typed, and the spans between them: read, checked, written."""

from collections.abc import Sequence

from jobs.core.errors import Invalid
from jobs.core.parsing import CLOCK

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MIDNIGHT, DAY_MINUTES = "24:00", 24 * 60
MOST_SPANS, MOST_UNWANTED = 2, 1
"""Spans that a day may have: before and after noon; one that is worked only where it must be."""
Minutes = tuple[int, int]
"""A span of a day: its first minute after midnight and the minute after its last."""
StoredSpan = Sequence[str]
StoredWeek = Sequence[Sequence[StoredSpan]]
"""Seven days from Monday on, each with its spans of two clocks such as 08:00 and 12:00."""


def minute_of(clock: str, *, field: str) -> int:
    """Return the minutes after midnight of a clock; refuse what is none. 24:00 ends a day."""
    if clock == MIDNIGHT:
        return DAY_MINUTES
    if not isinstance(clock, str) or not CLOCK.fullmatch(clock):
        raise Invalid("not a time of day", field=field, value=str(clock)[:20], allowed="00:00 to 24:00")
    hour, minute = clock.split(":")
    return int(hour) * 60 + int(minute)


def clock_of(minute: int) -> str:
    """Return a minute of the day as a clock."""
    return f"{minute // 60:02d}:{minute % 60:02d}"


def span_of(begins: str, ends: str, *, field: str) -> Minutes:
    """Return a span of a day; refuse an end that is not after its begin."""
    first, last = minute_of(begins, field=field), minute_of(ends, field=field)
    if first >= last:
        allowed = "an end after the begin; work past midnight is two spans, to 24:00 and from 00:00"
        raise Invalid(
            f"{begins} to {ends} ends before it begins", field=field, value=f"{begins}-{ends}",
            allowed=allowed,
        )  # fmt: skip
    return first, last


def minutes_of(spans: Sequence[StoredSpan]) -> list[Minutes]:
    """Return stored spans of a day in minutes."""
    return [(minute_of(a, field="span"), minute_of(b, field="span")) for a, b in spans]


def read_week(week: StoredWeek, *, field: str, most: int) -> list[list[list[str]]]:
    """Return seven days of spans as they are stored, each day in order; refuse what cannot be worked.

    A refusal names the day as ``field[n]``, Monday being 0, and of spans that overlap both.
    """
    if len(week) != len(DAYS):
        raise Invalid(
            "a week has seven days", field=field, value=f"{len(week)} days", allowed="seven lists of spans"
        )
    return [_read_day(day, name=f"{field}[{n}]", most=most) for n, day in enumerate(week)]


def _read_day(day: Sequence[StoredSpan], *, name: str, most: int) -> list[list[str]]:
    if len(day) > most:
        raise Invalid("too many spans", field=name, value=f"{len(day)} spans", allowed=f"up to {most} a day")
    spans = []
    for each in day:
        if len(each) != 2:
            raise Invalid("not a span", field=name, value=str(each)[:40], allowed="two clocks, from and to")
        spans.append(span_of(each[0], each[1], field=name))
    refuse_overlaps(sorted(spans), field=name)
    return [[clock_of(a), clock_of(b)] for a, b in sorted(spans)]


def refuse_overlaps(spans: Sequence[Minutes], *, field: str) -> None:
    """Refuse spans in order of which one begins before the other ends; both are named."""
    for before, after in zip(spans, spans[1:], strict=False):
        if after[0] < before[1]:
            both = " and ".join(f"{clock_of(a)} to {clock_of(b)}" for a, b in (before, after))
            allowed = "times that do not overlap"
            raise Invalid(f"{both} overlap: enter {allowed}", field=field, value=both, allowed=allowed)


def without(spans: Sequence[Minutes], off: Sequence[Minutes]) -> list[Minutes]:
    """Return what is left of spans outside others."""
    left = list(spans)
    for first, last in off:
        left = [
            part for a, b in left for part in ((a, min(b, first)), (max(a, last), b)) if part[0] < part[1]
        ]
    return left
