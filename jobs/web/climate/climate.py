"""The shop's climate: curves with the waits in them, readings by hand, and the sensors."""

from decimal import Decimal
from typing import Any

from django.conf import settings as site
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from jobs.core.errors import Invalid
from jobs.domain.climate.readings import Taken, take_readings, void_reading
from jobs.domain.overviews.climate import newest_readings, place_air, sensors, usual_air, waits_in_the_air
from jobs.domain.settings import settings
from jobs.log.commands import CommandResult
from jobs.models import Person
from jobs.web.climate.climate_chart import SPANS, chart
from jobs.web.commissions.history import names_of_people
from jobs.web.kit import queued_forms
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, pressed_at
from jobs.web.kit.formatting import temperature_words
from jobs.web.kit.forms import PageForm, choice_field, moment_field, number_field
from jobs.web.kit.responses import redirect_with_message
from jobs.web.kit.stored_translations import translate_stored

SPAN_WORDS = {"1": gettext_lazy("24 hours"), "7": gettext_lazy("7 days"), "30": gettext_lazy("30 days")}
SHOWN = 20


class ReadingForm(PageForm):
    """A reading that somebody took off an instrument."""

    def __init__(self, data: Any = None, *, person: Person, **more: Any) -> None:
        super().__init__(data, **more)
        self.fields["place"] = choice_field(_("Place"), [])
        self.fields["temperature"] = number_field(_("Temperature"), suffix=f"°{person.temperature_unit}")
        self.fields["humidity"] = number_field(_("Humidity"), suffix="%")
        self.fields["at"] = moment_field(_("When"), help_text=_("Empty: now"))


@worker
@require_safe
def climate(request: SignedIn) -> HttpResponse:
    return _page(request, ReadingForm(person=request.user))


@worker
@require_POST
def take(request: SignedIn) -> HttpResponse:
    """Store one reading; the same one sent twice is stored once."""
    form = ReadingForm(request.POST, person=request.user)
    taken = form.carry_out(lambda asked: _take(asked, request))
    if taken is None:
        return queued_forms.refused_form(form) if queued_forms.is_queued(request) else _page(request, form)
    says = _("The reading is kept.") if taken.kept else _("This reading was there already.")
    return redirect_with_message(request, CommandResult(events=[]), says, "web:climate")


@worker
@require_POST
def void(request: SignedIn, reading: int) -> HttpResponse:
    """Void a bad reading, so that no calculation uses it."""
    void_reading(reading, by=request.user.id, now=timezone.now())
    messages.success(request, _("The reading is void. The waits are recalculated without it."))
    return redirect("web:climate")


def _take(asked: dict[str, Any], request: SignedIn) -> Taken:
    person, asked["at"] = request.user, asked["at"] or pressed_at(request)
    taken = take_readings(
        [asked], source=person.id, temperature_unit=person.temperature_unit, now=timezone.now()
    )
    for one in taken.refused:
        raise Invalid(one.detail, field=one.field, value=one.value, allowed=one.allowed)
    return taken


def _page(request: SignedIn, form: ReadingForm) -> HttpResponse:
    now = timezone.now()
    span = request.GET.get("days", "1")
    span = span if span in SPANS else "1"
    waits, unit = waits_in_the_air(now=now), request.user.temperature_unit
    shop = settings()
    usual, places = usual_air(shop), shop["places"]
    form.offer("place", [(place, translate_stored(place).capitalize()) for place in places])
    airs = [place_air(place, since=now - SPANS[span], usual=usual) for place in places]
    names = names_of_people()
    context = {
        "form": form,
        "spans": SPAN_WORDS,
        "span": span,
        "places": [
            {
                "air": air,
                "drawing": chart(air, _called(waits.get(air.place, [])), span=span, now=now, unit=unit),
                "waits": waits.get(air.place, []),
            }
            for air in airs
            if air.last is not None
        ],
        "unmeasured": [air.place for air in airs if air.last is None],
        "readings": [
            {"it": reading, "by": sensor or names.get(reading.source, reading.source)}
            for reading, sensor in newest_readings(SHOWN)
        ],
        "sensors": sensors(),
        "address": site.PUBLIC_URL,
        "usual": temperature_words(Decimal(str(usual[0])), request.user),
    }
    return render(request, "web/workshop/climate.html", context, status=form.status)


def _called(waits: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [{**wait, "called": f"{wait['title']}: {wait['label']}, {wait['piece']}"} for wait in waits]
