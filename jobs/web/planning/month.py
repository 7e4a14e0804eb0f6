"""Four weeks of the plan: what each day holds, what was promised, the hours busy and free."""

from datetime import date, timedelta
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from jobs.core.errors import Invalid
from jobs.domain.lookups import short_number
from jobs.domain.overviews.plan.days import WEEK, PlanDays, monday_of, plan_days
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.forms import sentence
from jobs.web.planning.plan_words import quarter_hours
from jobs.web.planning.week import read_week
from jobs.web.planning.week_table import block_row

WEEKS = 4
SHOWN = 4
"""Pieces that a day names."""


@worker
@require_safe
def month(request: SignedIn) -> HttpResponse:
    """Show four weeks from a day's week on, from this week where the address names none."""
    now = timezone.now()
    today = timezone.localtime(now).date()
    monday, refused, status = monday_of(today), "", 200
    try:
        monday = read_week(request.GET.get("week", ""), today)
    except Invalid as wrong:
        refused, status = sentence(wrong), wrong.status
    view = plan_days(monday, monday + WEEKS * WEEK - timedelta(days=1), now=now, owner=request.user.is_owner)
    context = {
        "view": view,
        "plan": view.plan,
        "title": _("%(first)s to %(last)s")
        % {"first": date_format(view.first, "j F"), "last": date_format(view.last, "j F")},
        "before": monday - WEEKS * WEEK,
        "after": monday + WEEKS * WEEK,
        "is_now": view.first <= view.today <= view.last,
        "weeks": [_week(view, monday + n * WEEK) for n in range(WEEKS)],
        "is_coarse": bool(view.plan and view.plan.coarse_from and view.plan.coarse_from <= view.last),
        "refused": refused,
    }
    return render(request, "web/planning/month.html", context, status=status)


def _week(view: PlanDays, monday: date) -> dict[str, Any]:
    days = [_day(view, monday + timedelta(days=n)) for n in range(7)]
    is_open, busy = (sum(day[name] for day in days) for name in ("open_min", "busy_min"))
    return {
        "monday": monday,
        "name": date_format(monday, "j M"),
        "days": days,
        "says": _("%(busy)s of %(open)s h planned")
        % {"busy": quarter_hours(busy), "open": quarter_hours(is_open)}
        if is_open
        else _("shut"),
    }


def _day(view: PlanDays, day: date) -> dict[str, Any]:
    blocks = view.of_day(day)
    rows = {
        (row["number"], row["short"] if row["state"] == "date" else ""): row
        for row in (block_row(view, block) for block in reversed(blocks))
    }
    named = list(reversed(rows.values()))
    busy = sum(block.minutes * len(block.people) for block in blocks if not block.maybe)
    open_min = sum(view.open_min.get((one.id, day), 0) for one in view.people)
    return {
        "day": day,
        "name": date_format(day, "D"),
        "date": date_format(day, "j M") if day.day == 1 or day == view.first else str(day.day),
        "is_today": day == view.today,
        "is_off": not open_min and not blocks,
        "rows": named[:SHOWN],
        "more": len(named[SHOWN:]),
        "busy_min": busy,
        "open_min": open_min,
        "share": min(100, round(100 * busy / open_min)) if open_min else 0,
        "free": _("%(hours)s h free") % {"hours": quarter_hours(max(0, open_min - busy))} if open_min else "",
        "promised": [
            {"number": short_number(one.commission), "commission": one.commission}
            for one in (view.plan.finishes if view.plan else ())
            if one.promised == day
        ],
    }
