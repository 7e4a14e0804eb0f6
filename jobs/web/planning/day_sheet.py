"""The day sheet, printed by the browser, and who does a stage."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from jobs.domain.overviews.bench import bench
from jobs.domain.planning.assignments import give_stage, people_here
from jobs.models import Person
from jobs.web.bench_words import shown_job
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, posted_call
from jobs.web.kit.responses import redirect_with_message
from jobs.web.planning.plan_days import plan_days

MOST_JOBS = 14
"""As many as fit one page."""


@worker
@require_safe
def day(request: SignedIn) -> HttpResponse:
    """Show today's work for one person, or for all, to be printed."""
    people = people_here()
    who = next((one for one in people if one.id == request.GET.get("for")), None)
    now = timezone.now()
    view = bench(now=now, person=(who or request.user).id, with_money=False)
    mine = [job for job in view["jobs"] if who is None or job["given_to"] in ("", who.id)]
    names = {one.id: str(one).split(" ")[0] for one in people}
    jobs = [{**shown_job(job, now), "who": names.get(job["given_to"], "")} for job in mine]
    context = {
        "who": who,
        "people": people,
        "jobs": jobs[:MOST_JOBS],
        "left_out": len(jobs[MOST_JOBS:]),
        "today": plan_days(view, now)[0]["rows"],
    }
    return render(request, "web/planning/day.html", context)


@worker
@require_POST
def give(request: SignedIn, piece: str, key: str) -> HttpResponse:
    """Give a stage to a person; an empty one takes it back."""
    person = request.POST.get("person", "")
    done = give_stage(posted_call(request), piece=piece, stage=key, person=person)
    found = Person.objects.filter(id=person).first()
    says = _("It is for %(person)s now.") % {"person": found} if found else _("It is for anyone.")
    return redirect_with_message(request, done, says, "web:stage", piece, key)
