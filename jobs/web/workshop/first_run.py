"""The first run: twelve things to set, in two steps, every one of which can wait."""

from collections.abc import Callable
from typing import Any

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.settings import profile
from jobs.domain.stages.clamps import add_equipment
from jobs.domain.workshop.accounts import change_person
from jobs.domain.workshop.commands import set_shop
from jobs.models import Commission, Equipment, Event, Person
from jobs.models.people import LengthUnit, TemperatureUnit
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.forms import WholeField, choice_field, text_field
from jobs.web.workshop.shop_settings import ShopForm, changed, settings_form

SYSTEMS = {
    "us": (LengthUnit.INCH, TemperatureUnit.FAHRENHEIT),
    "metric": (LengthUnit.MILLIMETRE, TemperatureUnit.CELSIUS),
}
SHOP = ("name", "currency", "tax_pct", "email")
BENCH = ("people_at_hand", "closing_time", "planer_width", "jointer_width", "shop_c")


def is_new(person: Person) -> bool:
    """Return whether the owner has set nothing yet and no commission is open."""
    return person.is_owner and profile() is None and not Commission.objects.exists()


@owner
@require_http_methods(["GET", "POST"])
def shop(request: SignedIn) -> HttpResponse:
    """Ask what papers and mails start from."""
    before, form = settings_form(request, SHOP)
    form.fields["system"] = choice_field(
        gettext_lazy("Sizes and temperatures in"),
        [("us", gettext_lazy("inches and °F")), ("metric", gettext_lazy("millimeters and °C"))],
    )
    form.initial["system"] = "us" if request.user.unit == LengthUnit.INCH else "metric"
    form.order_fields(["name", "system", "currency", "tax_pct", "email"])

    def act(asked: dict[str, Any]) -> bool:
        unit, temperature_unit = SYSTEMS.get(asked.pop("system"), SYSTEMS["us"])
        change_person(request.user, unit=unit, temperature_unit=temperature_unit)
        set_shop(form.call(request), units=units_of(request.user), **changed(asked, before, request.user))
        return True

    return _step(request, form, act, "web:first-run-bench", number=1)


@owner
@require_http_methods(["GET", "POST"])
def bench(request: SignedIn) -> HttpResponse:
    """Ask what the calculations at the bench start from."""
    before, form = settings_form(request, BENCH)
    form.fields["clamps"] = WholeField(
        label=gettext_lazy("Clamps for glue-ups"), required=False, help_text=gettext_lazy("How many")
    )
    form.fields["reach"] = text_field(
        gettext_lazy("How far they open"),
        suffix=request.user.unit,
        help_text=gettext_lazy("The shortest of them"),
    )
    form.order_fields([*BENCH[:2], "clamps", "reach", *BENCH[2:]])

    def act(asked: dict[str, Any]) -> bool:
        count, reach = asked.pop("clamps"), asked.pop("reach")
        units = units_of(request.user)
        set_shop(form.call(request), units=units, **changed(asked, before, request.user))
        if count:
            add_equipment(
                form.call(request, part="clamps"),
                kind=Equipment.Kind.CLAMP,
                count=count,
                units=units,
                reach=reach,
            )
        return True

    return _step(request, form, act, "web:first-run-done", number=2)


@owner
@require_safe
def done(request: SignedIn) -> HttpResponse:
    """Lead to the first commission, or to the demo."""
    return render(request, "web/workshop/first_run_done.html", {"is_new": not Event.objects.exists()})


def _step(
    request: SignedIn, form: ShopForm, act: Callable[[dict[str, Any]], bool], following: str, *, number: int
) -> HttpResponse:
    def at_once(asked: dict[str, Any]) -> bool:
        with transaction.atomic():
            return act(asked)

    if request.method == "POST" and form.carry_out(at_once):
        return redirect(following)
    context = {"form": form, "number": number, "following": following}
    return render(request, "web/workshop/first_run.html", context, status=form.status)
