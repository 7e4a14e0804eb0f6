"""One planned stage: when, who, why; and its pin, by which the maker says when, who, or first."""

from datetime import datetime
from typing import Any

from django import forms
from django.http import HttpResponse
from django.utils import timezone
from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from jobs.domain import lookups
from jobs.domain.lookups import short_number
from jobs.domain.overviews.plan.names import PlanNames, read_names
from jobs.domain.overviews.plan.reasons import why_of
from jobs.domain.planning.assignments import people_here
from jobs.domain.planning.pins import pin_stage, pins_of, unpin_stage
from jobs.domain.planning.published import PlannedWork, Published
from jobs.domain.planning.publishing import current
from jobs.models import Person
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, posted_call
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.formatting import clock_words, plain_day_words
from jobs.web.kit.forms import PageForm, choice_field, date_field
from jobs.web.kit.responses import redirect_with_message
from jobs.web.plan_why import why_words
from jobs.web.planning.plan_words import first_name, quarter_hours, who_words


class PinForm(PageForm):
    """What the maker fixes of a stage: its day, who does it, or that it comes first."""

    def __init__(self, data: Any = None, *, people: list[Person], **more: Any) -> None:
        super().__init__(data, **more)
        self.fields["day"] = date_field(_("Do it on"))
        names = [(one.id, first_name(one)) for one in people]
        self.fields["person"] = choice_field(_("By"), [("", _("anyone")), *names])
        self.fields["first"] = forms.BooleanField(label=_("Before all other work"), required=False)


@worker
@require_http_methods(["GET", "POST"])
def planned(request: SignedIn, piece: str, key: str) -> HttpResponse:
    """Show when a stage is planned, why then, and its pin; a POST pins it."""
    found = lookups.stage(piece, key)
    plan, people, now = current(), people_here(), timezone.now()
    pin = pins_of().get((piece, key))
    initial = {"day": pin.day, "person": pin.person, "first": pin.is_first} if pin else {}
    form = PinForm(request.POST or None, people=people, initial=initial, seen=found.piece.version)
    work = [one for one in (plan.work if plan else ()) if (one.piece, one.stage) == (piece, key)]
    names = read_names(
        commissions={one.commission for one in (plan.finishes if plan else ())}, stages=[(piece, key)]
    )
    context = {
        "piece": piece,
        "key": key,
        "number": short_number(piece),
        "do": names.do(piece, key),
        "label": names.label(piece),
        "rows": [_row(one, people, now) for one in work],
        "why": _why(work, plan, names),
        "maybe": any(one.maybe for one in work),
        "pin": pin,
    }
    return command_page(
        request, form, lambda call, **asked: pin_stage(call, piece=piece, stage=key, **asked),
        (_("It is pinned. The plan follows."), "web:plan"), "web/planning/planned.html", lambda: context,
    )  # fmt: skip


def _why(work: list[PlannedWork], plan: Published | None, names: PlanNames) -> str:
    """Return why the first stretch stands where it stands; empty where the plan says nothing of it."""
    return why_words(*why_of(work[0], plan, names.titles)) if work and plan else ""


def _row(one: PlannedWork, people: list[Person], now: datetime) -> dict[str, str]:
    """Return a stretch of work in words: day, times, who, how long."""
    local, today = timezone.localtime(one.begins), timezone.localtime(now).date()
    near = 0 <= (local.date() - today).days <= 6
    minutes = round((one.ends - one.begins).total_seconds() / 60)
    return {
        "day": date_format(local, "l") if near else plain_day_words(local.date(), today),
        "times": _("%(first)s to %(last)s")
        % {"first": clock_words(one.begins), "last": clock_words(one.ends)},
        "who": who_words(one.people, {each.id: first_name(each) for each in people}),
        "takes": _("%(hours)s h") % {"hours": quarter_hours(minutes)},
        "iso": one.begins.isoformat(),
    }


@worker
@require_POST
def unpin(request: SignedIn, piece: str, key: str) -> HttpResponse:
    """Take the pin off a stage."""
    done = unpin_stage(posted_call(request), piece=piece, stage=key)
    return redirect_with_message(request, done, _("The pin is off. The plan follows."), "web:plan")
