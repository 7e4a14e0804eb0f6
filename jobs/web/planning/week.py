"""The plan: the week, with what moved, what waits, what was promised and which hours are left."""

from datetime import date, timedelta
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from jobs.core.errors import Invalid
from jobs.domain.lookups import short_number
from jobs.domain.overviews.plan.days import PlanDays, monday_of, plan_days
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.forms import sentence
from jobs.web.planning.plan_words import moved_rows, quarter_hours
from jobs.web.planning.up_to_promises import up_to_promises
from jobs.web.planning.week_lanes import lanes
from jobs.web.planning.week_table import day_list, hands

FARTHEST_WEEKS = 104
MOVED_SHOWN, MOVED_FOLDED = 3, 12
WEEK = timedelta(days=7)


@worker
@require_safe
def week(request: SignedIn) -> HttpResponse:
    """Show the plan of a week, this one where the address names none."""
    return shown_week(request, "web/planning/week.html")


@worker
@require_safe
def week_sheet(request: SignedIn) -> HttpResponse:
    """Show the plan of a week as one sheet to be printed."""
    return shown_week(request, "web/planning/week_sheet.html")


def shown_week(request: SignedIn, template: str) -> HttpResponse:
    """Show a week in its template; a day that cannot be read is named, beside this week."""
    now = timezone.now()
    today = timezone.localtime(now).date()
    monday, refused, status = monday_of(today), "", 200
    try:
        monday = read_week(request.GET.get("week", ""), today)
    except Invalid as wrong:
        refused, status = sentence(wrong), wrong.status
    view = plan_days(monday, monday + 6 * timedelta(days=1), now=now, owner=request.user.is_owner)
    return render(request, template, {**context_of(view), "refused": refused}, status=status)


def read_week(text: str, today: date) -> date:
    """Return the Monday of the week of a day such as 2026-11-30; of today where nothing is asked."""
    if not text:
        return monday_of(today)
    first, last = (today + sign * FARTHEST_WEEKS * WEEK for sign in (-1, 1))
    try:
        asked = date.fromisoformat(text)
    except ValueError:
        asked = date.min
    if not first <= asked <= last:
        said = {"day": today, "first": first, "last": last}
        allowed = _("a day such as %(day)s, of %(first)s to %(last)s") % said
        raise Invalid(_("this is no week of the plan"), field="week", value=text[:20], allowed=allowed)
    return monday_of(asked)


def context_of(view: PlanDays) -> dict[str, Any]:
    """Return all that the pages of a week show."""
    moved = moved_rows(view.moved[: MOVED_SHOWN + MOVED_FOLDED], view.names, view.now)
    return {
        "view": view,
        "plan": view.plan,
        "title": week_words(view),
        "before": view.first - WEEK,
        "after": view.first + WEEK,
        "is_this_week": view.first <= view.today <= view.last,
        "moved": moved[:MOVED_SHOWN],
        "moved_more": moved[MOVED_SHOWN:],
        "moved_count": len(view.moved) - MOVED_SHOWN,
        "moved_left": len(view.moved) - MOVED_SHOWN - MOVED_FOLDED,
        "hands": hands(view),
        "days": day_list(view),
        "lanes": lanes(view),
        "promises": up_to_promises(view),
        "free": free_rows(view),
        "not_planned": not_planned(view),
        "is_coarse": bool(view.plan and view.plan.coarse_from and view.plan.coarse_from <= view.last),
    }


def week_words(view: PlanDays) -> str:
    """Return the days of a week: "30 November to 6 December", with the year where it is another."""
    year = " Y" if view.last.year != view.today.year else ""
    first = date_format(view.first, "j F" if view.first.month != view.last.month else "j")
    return _("%(first)s to %(last)s") % {"first": first, "last": date_format(view.last, f"j F{year}")}


def free_rows(view: PlanDays) -> list[dict[str, Any]]:
    """Return the hours that are left, by week."""
    return [
        {
            "day": date_format(one.monday, "j M"),
            "week": one.monday,
            "says": _("%(hours)s h") % {"hours": quarter_hours(one.free_min)} if one.open_min else _("shut"),
            "of": _("of %(hours)s h") % {"hours": quarter_hours(one.open_min)} if one.open_min else "",
        }
        for one in view.free
    ]


def not_planned(view: PlanDays) -> list[dict[str, Any]]:
    """Return the work that no plan can hold, with what to do about it."""
    return [
        {
            "number": short_number(one.piece or one.commission),
            "says": view.names.title(one.piece, one.stage) or view.names.commission_title(one.commission),
            "why": one.why,
            "url": reverse("web:stage", args=[one.piece, one.stage])
            if one.stage
            else reverse("web:commission", args=[one.commission]),
        }
        for one in (view.plan.not_planned if view.plan else ())
    ]
