"""Dates outside the shop: the days ahead, and the form of a date."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from calcs.kit.errors import CalcError
from jobs.core.errors import Probably, ShopError
from jobs.domain import lookups
from jobs.domain.overviews.bench import bench
from jobs.domain.planning.appointments import (
    TO_CLIENT,
    cancel_appointment,
    change_appointment,
    finish_appointment,
    set_appointment,
)
from jobs.domain.planning.assignments import people_here
from jobs.domain.planning.queries import appointment_views
from jobs.log.commands import CommandContext, CommandResult
from jobs.log.private_texts import read
from jobs.models import Appointment, Commission
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, posted_call
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import PageForm, WholeField, date_field, text_field
from jobs.web.kit.responses import redirect_with_message
from jobs.web.planning.plan_days import plan_days

KINDS = {
    Appointment.Kind.DELIVERY: gettext_lazy("Deliver"),
    Appointment.Kind.SITE_VISIT: gettext_lazy("Visit the site"),
    Appointment.Kind.WOOD: gettext_lazy("Collect wood"),
    Appointment.Kind.OTHER: gettext_lazy("Other"),
}


class People(forms.MultipleChoiceField):
    """Several people; the command refuses those who do not work here."""

    def to_python(self, value: Any) -> list[str]:
        return [key for key in super().to_python(value) if key]

    def valid_value(self, value: str) -> bool:
        return True


class DateForm(PageForm):
    """A date outside the shop; of a commission, the client can be told."""

    def __init__(self, data: Any = None, *, commission: Commission | None, **more: Any) -> None:
        super().__init__(data, **more)
        self.fields["kind"] = forms.ChoiceField(
            label=_("What"), choices=list(KINDS.items()), widget=forms.RadioSelect
        )
        self.fields["day"] = date_field(_("Day"))
        self.fields["at"] = text_field(_("Time"), maxlength="5", help_text=_("Such as 10:30; empty: all day"))
        if commission is not None:
            self.fields["tell_client"] = forms.BooleanField(label=_("Tell the client"), required=False)
        self.fields["place"] = text_field(_("Where"))
        self.fields["minutes"] = WholeField(label=_("Minutes it takes"), required=False)
        self.fields["hands"] = WholeField(label=_("People needed"), required=False)
        self.fields["people"] = People(
            label=_("Who goes"),
            choices=[(one.id, str(one)) for one in people_here()],
            required=False,
            widget=forms.CheckboxSelectMultiple,
        )
        self.fields["note"] = text_field(_("Note"), lines=2)
        self.asks_anyway = forms.BooleanField(label=_("Keep this day"), required=False)
        if "anyway" in (data or {}):
            self.fields["anyway"] = self.asks_anyway

    def refuse(self, refused: ShopError | CalcError) -> None:
        if isinstance(refused, Probably):
            self.fields["anyway"] = self.asks_anyway
        super().refuse(refused)

    @property
    def folded(self) -> list[Any]:
        return [self[name] for name in ("minutes", "hands", "people", "note")]

    @property
    def shown(self) -> list[Any]:
        names = ("kind", "day", "anyway", "at", "place", "tell_client")
        return [self[name] for name in names if name in self.fields]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not cleaned.get("day") and "day" not in self.errors:
            self.add_error("day", _("Enter the day."))
        return cleaned

    def asked(self) -> dict[str, Any]:
        asked = super().asked()
        return {**asked, "hands": 1 if asked["hands"] is None else asked["hands"]}


@worker
@require_safe
def ahead(request: SignedIn) -> HttpResponse:
    """Show the days ahead: dates outside, what ends, what was promised."""
    now = timezone.now()
    view = bench(now=now, person=request.user.id, with_money=request.user.is_owner)
    return render(request, "web/planning/dates.html", {"days": plan_days(view, now)})


@worker
@require_http_methods(["GET", "POST"])
def new(request: SignedIn) -> HttpResponse:
    """Set a date; the address may name its commission and kind."""
    return _new(request, request.GET.get("commission", "")[:20], request.GET.get("kind", ""))


@worker
@require_http_methods(["GET", "POST"])
def delivery(request: SignedIn, number: str) -> HttpResponse:
    """Agree the day of delivery of a commission."""
    return _new(request, number, Appointment.Kind.DELIVERY)


def _new(request: SignedIn, number: str, kind: str) -> HttpResponse:
    found = lookups.commission(number) if number else None
    promised = found.promise_on if found and kind == Appointment.Kind.DELIVERY else None
    initial = {
        "kind": kind if kind in Appointment.Kind.values else Appointment.Kind.DELIVERY,
        "place": read(found.client.address_ref) if found else "",
        "day": promised if promised and promised >= timezone.localdate() else None,
        "hands": 1,
        "tell_client": found is not None,
    }
    form = DateForm(request.POST or None, commission=found, initial=initial)

    def command(call: CommandContext, **asked: Any) -> CommandResult:
        return set_appointment(call, commission=number, **_to_told(asked))

    return command_page(
        request, form, command, (_("The date is set."), *_after(number)), "web/planning/date.html",
        lambda: {"commission": _about(found), "back": _address(number)},
    )  # fmt: skip


@worker
@require_http_methods(["GET", "POST"])
def date(request: SignedIn, key: int) -> HttpResponse:
    """Show one date and change it."""
    rows = Appointment.objects.select_related("commission__client").filter(id=key)
    found = lookups.existing(rows, "appointment", key)
    view = appointment_views([found])[0]
    local = found.starts_at and timezone.localtime(found.starts_at)
    initial = {
        **{name: view[name] for name in ("kind", "day", "place", "minutes", "hands", "note")},
        "at": f"{local:%H:%M}" if local else "",
        "people": [one["id"] for one in view["people"]],
        "tell_client": found.is_told,
    }
    form = DateForm(request.POST or None, commission=found.commission, initial=initial, seen=found.version)

    def command(call: CommandContext, **asked: Any) -> CommandResult:
        return change_appointment(call, appointment=key, **_to_told(asked))

    number = view["commission"]
    return command_page(
        request, form, command, (_("The date is changed."), *_after(number)), "web/planning/date.html",
        lambda: {"date": view, "commission": _about(found.commission), "back": _address(number)},
    )  # fmt: skip


def _to_told(asked: Mapping[str, Any]) -> dict[str, Any]:
    """Return what was typed; a kind that concerns no client tells nobody."""
    return {**asked, "tell_client": bool(asked.get("tell_client")) and asked["kind"] in TO_CLIENT}


def _about(found: Commission | None) -> dict[str, Any] | None:
    return {"number": found.number, "title": read(found.title_ref)} if found else None


def _after(number: str) -> tuple[str, ...]:
    return ("web:commission", number) if number else ("web:plan",)


def _address(number: str) -> str:
    return f"/commissions/{number}/" if number else "/plan/"


@worker
@require_POST
def done(request: SignedIn, key: int) -> HttpResponse:
    """Say that a date was kept."""
    result = finish_appointment(posted_call(request), appointment=key)
    return redirect_with_message(request, result, _("Done."), "web:plan")


@worker
@require_POST
def cancel(request: SignedIn, key: int) -> HttpResponse:
    """Cancel a date."""
    reason = request.POST.get("reason", "")
    result = cancel_appointment(posted_call(request), appointment=key, reason=reason)
    return redirect_with_message(request, result, _("The date is canceled."), "web:plan")
