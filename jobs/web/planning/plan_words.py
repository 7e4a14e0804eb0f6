"""Words of the plan: hours, who, when, why, and how far something moved."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Any

from django.utils import timezone
from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.domain.lookups import short_number
from jobs.domain.overviews.plan.blocks import Block
from jobs.domain.overviews.plan.days import PlanDays
from jobs.domain.overviews.plan.names import PlanNames
from jobs.domain.planning.published import Moved, PlannedWait
from jobs.models import Person
from jobs.web.kit.formatting import clock_words, plain_day_words
from jobs.web.kit.stored_translations import capital, translate_stored
from jobs.web.wait_axis import TITLES

QUARTERS = {0: "", 1: "¼", 2: "½", 3: "¾"}


def quarter_hours(minutes: int) -> str:
    """Return minutes as hours to the quarter: "5½", "¾", "0".

    Examples
    --------
    >>> quarter_hours(330), quarter_hours(45), quarter_hours(0)
    ('5½', '¾', '0')
    """
    whole, quarter = divmod(round(minutes / 15), 4)
    return f"{whole or ''}{QUARTERS[quarter]}" or "0"


def first_name(person: Person) -> str:
    """Return how somebody is called in the shop."""
    return str(person).split(" ")[0]


def who_words(keys: Iterable[str], people: Mapping[str, str]) -> str:
    """Return who does something, by first names: "Ines", "Ines and Sam", "all three"."""
    names = [people[key] for key in keys if key in people]
    if len(names) > 1:
        return _("%(some)s and %(last)s") % {"some": ", ".join(names[:-1]), "last": names[-1]}
    return "".join(names)


def headline(block: Block) -> str:
    """Return what to do, verb first."""
    if block.state == "date":
        return capital(translate_stored(block.do))
    part = _(", part %(part)s of %(parts)s") % {"part": block.part, "parts": block.parts}
    return capital(block.do or block.title) + (part if block.parts > 1 else "")


def about_words(block: Block) -> str:
    """Return what a block is about: its short number and what it is called."""
    number = block.piece or block.commission
    return f"{short_number(number)} {block.label}".strip() if number else block.title


def moved_by(moved: Moved) -> str:
    """Return how far something moved: "2 h later", "1 day sooner"."""
    was, becomes = (timezone.localtime(at) for at in (moved.was, moved.becomes))
    days = (becomes.date() - was.date()).days
    if days:
        n = abs(days)
        later = ngettext("%(n)s day later", "%(n)s days later", n) % {"n": n}
        return later if days > 0 else ngettext("%(n)s day sooner", "%(n)s days sooner", n) % {"n": n}
    hours = max(1, round(abs(moved.becomes - moved.was) / timedelta(hours=1)))
    return (_("%(n)s h later") if moved.becomes > moved.was else _("%(n)s h sooner")) % {"n": hours}


def moved_rows(moved: Iterable[Moved], names: PlanNames, now: datetime) -> list[dict[str, Any]]:
    """Return what moved, with the time it had, the time it has, and why."""
    return [_moved_row(one, names, now) for one in moved]


def _moved_row(one: Moved, names: PlanNames, now: datetime) -> dict[str, Any]:
    today = timezone.localtime(now).date()
    days = [timezone.localtime(at).date() for at in (one.was, one.becomes)]
    if not one.stage:
        says, icon = _("ready"), "flag"
        times = [date_format(day, "D" if abs((day - today).days) <= 6 else "j M") for day in days]
    elif days[0] == days[1]:
        says, icon = names.title(one.piece, one.stage), "clock"
        times = [clock_words(one.was), clock_words(one.becomes)]
    else:
        says, icon = names.title(one.piece, one.stage), "plan"
        times = [_near_day(day, today) for day in days]
    return {
        "icon": icon,
        "number": short_number(one.piece or one.commission),
        "about": "" if one.stage else names.commission_title(one.commission),
        "says": says.lower() if one.stage else says,
        "was": times[0],
        "becomes": times[1],
        "why": one.why,
        "by": moved_by(one),
    }


def _near_day(day: date, today: date) -> str:
    near = abs((day - today).days) <= 6
    return date_format(day, "D") if near else plain_day_words(day, today)


def wait_title(one: PlannedWait) -> str:
    """Return the short name of a wait."""
    return str(TITLES.get(one.kind, translate_stored(one.title)))


def at_words(moment: datetime, first: date) -> str:
    """Return a moment of a week: "Tue 8:00"; outside the seven days from ``first`` its day."""
    day = timezone.localtime(moment).date()
    if 0 <= (day - first).days < 7:
        return f"{date_format(day, 'D')} {clock_words(moment)}"
    return date_format(day, "D j M")


def night_words(view: PlanDays, day: date) -> str:
    """Return what works by itself through the night after a day: "003 glue curing, 002 coat drying"."""
    begin = timezone.make_aware(datetime(day.year, day.month, day.day, 20))
    found = {
        (short_number(one.piece), wait_title(one)[:1].lower() + wait_title(one)[1:]): one
        for one in view.waits
        if one.begins <= begin < one.ends and not one.maybe
    }
    shown = [f"{number} {title}" for number, title in found][:MOST_NIGHT]
    left = len(found) - len(shown)
    more = [_("%(count)s more") % {"count": left}] if left else []
    return ", ".join([*shown, *more])


MOST_NIGHT = 4
"""As many waits as a line of a phone names."""
