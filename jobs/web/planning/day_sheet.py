"""The day sheet, printed by the browser, and who does a stage."""

from datetime import datetime
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from jobs.domain.overviews.bench import bench
from jobs.domain.overviews.plan.days import plan_days as plan_of_days
from jobs.domain.planning.assignments import give_stage, people_here
from jobs.domain.planning.publishing import current
from jobs.models import Person
from jobs.web.bench_words import shown_job
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, posted_call
from jobs.web.kit.formatting import hour_words
from jobs.web.kit.responses import redirect_with_message
from jobs.web.planning.plan_days import plan_days
from jobs.web.planning.week_table import block_row, ends_today

MOST_JOBS = 14
"""As many as fit one page."""
Row = dict[str, Any]


@worker
@require_safe
def day(request: SignedIn) -> HttpResponse:
    """Show today's work for one person, or for all, to be printed: by the plan, without one by the bench."""
    people = people_here()
    who = next((one for one in people if one.id == request.GET.get("for")), None)
    now = timezone.now()
    plan = current()
    rows, today = _by_plan(request, who, now) if plan else _by_bench(request, who, people, now)
    context = {
        "who": who,
        "people": people,
        "by_plan": plan is not None,
        "jobs": rows[:MOST_JOBS],
        "left_out": len(rows[MOST_JOBS:]),
        "today": today,
    }
    return render(request, "web/planning/day.html", context)


def _by_plan(request: SignedIn, who: Person | None, now: datetime) -> tuple[list[Row], list[Row]]:
    """Return what the plan has for today, and what ends or closes today."""
    today = timezone.localtime(now).date()
    view = plan_of_days(today, today, now=now, owner=request.user.is_owner)
    blocks = [one for one in view.of_day(today, who.id if who else "") if one.state != "done"]
    rows = [
        {
            "says": row["says"],
            "number": row["number"],
            "name": block.label,
            "takes": hour_words(block.minutes),
            "who": row["who"],
            "why": row["why"],
            "maybe": row["maybe"],
            "when": row["at"],
        }
        for block in blocks
        for row in [block_row(view, block)]
    ]
    return rows, ends_today(view)


def _by_bench(
    request: SignedIn, who: Person | None, people: list[Person], now: datetime
) -> tuple[list[Row], list[Row]]:
    """Return the jobs of the bench, and what ends or comes today."""
    view = bench(now=now, person=(who or request.user).id, with_money=False)
    mine = [job for job in view["jobs"] if who is None or job["given_to"] in ("", who.id)]
    names = {one.id: str(one).split(" ")[0] for one in people}
    shown = [{**shown_job(job, now), "who": names.get(job["given_to"], "")} for job in mine]
    return [{**job, "when": job["chip"].get("says", "")} for job in shown], plan_days(view, now)[0]["rows"]


@worker
@require_POST
def give(request: SignedIn, piece: str, key: str) -> HttpResponse:
    """Give a stage to a person; an empty one takes it back."""
    person = request.POST.get("person", "")
    done = give_stage(posted_call(request), piece=piece, stage=key, person=person)
    found = Person.objects.filter(id=person).first()
    says = _("It is for %(person)s now.") % {"person": found} if found else _("It is for anyone.")
    return redirect_with_message(request, done, says, "web:stage", piece, key)
