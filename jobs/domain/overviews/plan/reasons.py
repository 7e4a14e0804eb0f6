"""What the reason of planned work is about, in words."""

from collections.abc import Mapping
from datetime import date

from django.utils import timezone
from django.utils.dateformat import format as date_format

from jobs.domain.planning.published import (
    CLIENT,
    CLOSES,
    FREES,
    PROMISED,
    UNDER_WAY,
    PlannedWork,
    Published,
)


def why_of(one: PlannedWork, plan: Published, titles: Mapping[str, str]) -> tuple[str, str]:
    """Return the key of ``WHY`` and what it is about in words; empty where that says nothing new.

    ``titles`` are those of commissions by their numbers.
    """
    if one.why in (FREES, CLIENT):
        return (one.why, titles[one.about]) if titles.get(one.about) else ("", "")
    if one.why == PROMISED:
        day = _promised(one, plan)
        return (PROMISED, date_format(day, "D j M")) if day else ("", "")
    if one.why == CLOSES:
        return CLOSES, _closing(one, plan)
    return ("", "") if one.why == UNDER_WAY else (one.why, one.about)


def _promised(one: PlannedWork, plan: Published) -> date | None:
    found = (each.promised for each in plan.finishes if each.commission == one.about)
    return next(found, None)


def _closing(one: PlannedWork, plan: Published) -> str:
    """Return a wait's title and the time at which its window closes, where the plan knows it."""
    windows = (each for each in plan.waits if each.piece == one.piece and each.title == one.about)
    closes = next((w.closes for w in windows if w.closes and w.begins <= one.begins <= w.closes), None)
    title = one.about[:1].lower() + one.about[1:]
    if closes is None:
        return title
    local = timezone.localtime(closes)
    day = f"{date_format(local, 'D')} " if local.date() != timezone.localtime(one.begins).date() else ""
    return f"{title}, {day}{local.hour}:{local:%M}"
