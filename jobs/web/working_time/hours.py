"""Working hours on one page: weeks of people, holidays, days off, days of clients, time for other things."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.core.errors import NotFound
from jobs.domain.overviews.bench import LIVE
from jobs.domain.planning.assignments import people_here
from jobs.domain.settings import profile, settings
from jobs.domain.working_time.commands import cancel_day_off, set_day_off, set_working_hours
from jobs.domain.working_time.open_hours import idle_people, usual_week
from jobs.domain.working_time.promises import set_blackout
from jobs.domain.working_time.queries import (
    clocks_of,
    coming_blackouts,
    days_off_views,
    firm_promises,
    hours_views,
)
from jobs.domain.workshop.commands import set_shop
from jobs.log.commands import CommandContext, CommandResult
from jobs.log.private_texts import Texts
from jobs.models import Commission
from jobs.web.kit.access import owner, worker
from jobs.web.kit.calls import SignedIn, posted_call
from jobs.web.kit.command_pages import carried_out
from jobs.web.kit.formatting import number_words
from jobs.web.kit.forms import PageForm
from jobs.web.kit.responses import redirect_with_message
from jobs.web.working_time.forms import (
    ClientDaysForm,
    DayOffForm,
    HolidayForm,
    HoursForm,
    InterruptionsForm,
)
from jobs.web.working_time.week_words import limit_words, part_words, short_clock, week_words

HOME = "web:working-hours"


@worker
@require_safe
def hours(request: SignedIn) -> HttpResponse:
    """Show when everybody works, and on which days nobody does."""
    return _page(request)


@owner
@require_http_methods(["GET", "POST"])
def of_person(request: SignedIn, who: str) -> HttpResponse:
    """Show the week of one person on the page; a POST sets it."""
    view = next((one for one in hours_views() if one["person"] == who), None)
    if view is None:
        raise NotFound("nobody here has this key", field="who", value=who[:40])
    form = HoursForm(request.POST or None, view=view, usual=clocks_of(usual_week()))

    def command(call: CommandContext, **asked: Any) -> CommandResult:
        return set_working_hours(call, who=who, **asked)

    says = _("The hours of %(name)s are set.") % {"name": view["name"]}
    return carried_out(request, form, command, (says, HOME), lambda: _page(request, hours_form=form, who=who))


@owner
@require_POST
def add_holiday(request: SignedIn) -> HttpResponse:
    """Close the shop on some days."""
    form = HolidayForm(request.POST)
    done = (_("The shop is closed on these days."), HOME)
    return carried_out(request, form, set_day_off, done, lambda: _page(request, holiday_form=form))


@worker
@require_POST
def add_day_off(request: SignedIn) -> HttpResponse:
    """Set days on which somebody is away; a maker sets their own."""
    form = _day_off_form(request, request.POST)
    done = (_("The days off are set."), HOME)
    return carried_out(request, form, set_day_off, done, lambda: _page(request, day_off_form=form))


@worker
@require_POST
def remove_day_off(request: SignedIn, key: int) -> HttpResponse:
    """Take days off or a holiday back."""
    result = cancel_day_off(posted_call(request), day_off=key)
    return redirect_with_message(request, result, _("Taken back."), HOME)


@owner
@require_POST
def add_client_days(request: SignedIn) -> HttpResponse:
    """Set days on which the client of a commission takes nothing."""
    form = ClientDaysForm(request.POST, commissions=_commissions())
    done = (_("The client's days are set."), HOME)
    return carried_out(request, form, set_blackout, done, lambda: _page(request, client_form=form))


@owner
@require_POST
def set_free_share(request: SignedIn) -> HttpResponse:
    """Set the share of the week that goes to other things."""
    form = _free_form(request.POST)

    def command(call: CommandContext, **asked: Any) -> CommandResult:
        return set_shop(call, settings=asked)

    return carried_out(request, form, command, (_("Saved."), HOME), lambda: _page(request, free_form=form))


def _page(request: SignedIn, *, who: str = "", **forms: PageForm) -> HttpResponse:
    """Show the page with these forms as they were sent, all others fresh."""
    today, is_owner, me = timezone.localdate(), request.user.is_owner, request.user.id
    people, off = hours_views(), days_off_views(today)
    for one in people:
        one["rows"], one["extra"] = week_words(one["week"]), week_words(one["unwanted"])
        one["hours_a_week"] = f"{one['minutes_a_week'] / 60:g}"
        one["back"], one["limited"] = short_clock(one["back_until"]), limit_words(one["limits"])
    for row in off:
        row["hours"] = part_words(row["begins"], row["ends"])
        row["may_remove"] = is_owner or row["person"] == me
    fresh: dict[str, PageForm] = {"day_off_form": _day_off_form(request)}
    if is_owner:
        fresh |= {
            "holiday_form": HolidayForm(), "client_form": ClientDaysForm(commissions=_commissions()),
            "free_form": _free_form(),
        }  # fmt: skip
    idle = set(idle_people())
    context = {
        "people": people,
        "idle": [one["name"] for one in people if one["person"] in idle],
        "nobody_works": len(idle) == len(people),
        "opened": who,
        "holidays": [row for row in off if not row["person"]],
        "days_off": [row for row in off if row["person"]],
        "client_days": coming_blackouts(today) if is_owner else [],
        "firm": firm_promises() if is_owner else [],
        "share": number_words(settings()["interruptions_pct"]),
        **fresh,
        **forms,
    }
    status = max((form.status for form in forms.values()), default=200)
    return render(request, "web/working_time/hours.html", context, status=status)


def _day_off_form(request: SignedIn, data: Any = None) -> DayOffForm:
    people = people_here() if request.user.is_owner else [request.user]
    return DayOffForm(data, people=people, initial={"who": request.user.id})


def _free_form(data: Any = None) -> InterruptionsForm:
    shop = profile()
    initial = {"interruptions_pct": number_words(settings()["interruptions_pct"])}
    return InterruptionsForm(data, initial=initial, seen=shop.version if shop else 0)


def _commissions() -> list[tuple[str, str]]:
    """Return the commissions still to deliver, with their titles, the newest first."""
    live = [step for step in LIVE if step in Commission.UNDELIVERED]
    found = list(Commission.objects.filter(step__in=live).order_by("-number").only("number", "title_ref"))
    texts = Texts(one.title_ref for one in found)
    return [(one.number, f"{one.number} {texts[one.title_ref]}") for one in found]
