"""Up to the promises: each commission from today to the day it is ready, and to the day promised."""

from datetime import date, timedelta
from typing import Any

from django.urls import reverse
from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.domain.lookups import short_number
from jobs.domain.overviews.plan.days import PlanDays
from jobs.domain.planning.published import Finish
from jobs.web.commissions.expected import held_words

SHOWN = 12
"""Commissions that are drawn; more are folded."""
SHORTEST, LONGEST = 35, 190
"""Days that the rule shows, at least and at most."""


def up_to_promises(view: PlanDays) -> dict[str, Any] | None:
    """Return the rows of commissions, the next promise first, and the rule of months; None without a plan."""
    if view.plan is None or not view.plan.finishes:
        return None
    listed = sorted(view.plan.finishes, key=lambda one: (one.maybe, one.promised or date.max, one.ready_on))
    ends = [day for one in listed for day in (one.promised, one.expected_on) if day]
    span = max(SHORTEST, min(LONGEST, (max(ends) - view.today).days + 7))
    rows = [_row(view, one, span) for one in listed]
    return {"span": span, "months": _months(view.today, span), "rows": rows[:SHOWN], "more": rows[SHOWN:]}


def _row(view: PlanDays, one: Finish, span: int) -> dict[str, Any]:
    first, last = one.in_half or one.ready_on, one.in_nineteen_of_twenty or one.ready_on
    expected = one.expected_on
    hand = (one.promised - expected).days if one.promised else None
    return {
        "number": short_number(one.commission),
        "title": view.names.commission_title(one.commission),
        "look": view.names.first_look(one.commission),
        "url": reverse("web:commission", args=[one.commission]),
        "maybe": one.maybe,
        "promised": _day(one.promised, view.today) if one.promised else "",
        "expected": _expected(one, expected, view.today),
        "hand": "" if hand is None else hand_words(hand),
        "late": hand is not None and hand < 0,
        "risk": _risk(one, view.today),
        "run": _at(first, view.today, span),
        "last": _at(last, view.today, span),
        "flag": _at(one.promised, view.today, span) if one.promised else None,
    }


def _expected(one: Finish, expected: date, today: date) -> str:
    says = _("maybe %(day)s") if one.maybe else _("expected %(day)s")
    return says % {"day": _day(expected, today)}


def _day(day: date, today: date) -> str:
    """Return a day; its year only where it is more than ten months off."""
    return date_format(day, "D j M" if abs((day - today).days) < 300 else "j M Y")


def hand_words(days: int) -> str:
    """Return how many days lie between the day expected and the day promised."""
    n = abs(days)
    if days < 0:
        return ngettext("%(n)s day late", "%(n)s days late", n) % {"n": n}
    return ngettext("%(n)s day in hand", "%(n)s days in hand", n) % {"n": n} if days else _("no day in hand")


def _risk(one: Finish, today: date) -> str:
    """Return what holds a promise that is at risk, and since when."""
    if one.risk_since is None:
        return ""
    held = held_words(one.held_by, {})
    said = {"day": _day(one.risk_since, today), "held": held}
    return (_("at risk since %(day)s, held up by: %(held)s") if held else _("at risk since %(day)s")) % said


def _at(day: date, today: date, span: int) -> int:
    """Return where a day lies on the rule [days from today]."""
    return max(0, min(span, (day - today).days))


def _months(today: date, span: int) -> list[tuple[int, str]]:
    """Return where each month begins on the rule, and its name."""
    found, day = [(0, date_format(today, "M"))], today
    for _n in range(span // 28 + 1):
        day = (day.replace(day=1) + timedelta(days=32)).replace(day=1)
        if (day - today).days < span - 4:
            found.append(((day - today).days, date_format(day, "M")))
    if len(found) > 1 and found[1][0] < 0.12 * span:
        found = found[1:]
    return found
