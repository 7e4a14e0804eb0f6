"""Equipment: clamps and places, how many are free, and what holds the rest."""

import uuid
from functools import partial
from typing import Any

from django.forms import NumberInput
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from calcs.glue_up.pressure import CLAMP_KINDS
from calcs.kit.units import format_length
from jobs.domain import lookups
from jobs.domain.stages.clamps import add_equipment, change_equipment, free_clamps, retire_equipment
from jobs.domain.stages.equipment_queries import equipment_views
from jobs.log.commands import CommandContext, CommandResult
from jobs.models import Equipment, Person
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn, call_of, units_of
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import PageForm, WholeField, choice_field, text_field
from jobs.web.kit.responses import redirect_with_message
from jobs.web.kit.stored_translations import told_choices, translate_stored

KINDS = {
    Equipment.Kind.CLAMP: gettext_lazy("Clamps"),
    Equipment.Kind.BENCH: gettext_lazy("Bench places"),
    Equipment.Kind.FINISHING: gettext_lazy("Finishing room places"),
}


class EquipmentForm(PageForm):
    """Clamps of one kind and reach, or places; clamps do not become places."""

    def __init__(self, data: Any = None, *, person: Person, kind: str = "", **more: Any) -> None:
        super().__init__(data, **more)
        if not kind:
            self.fields["kind"] = choice_field(_("Kind"), told_choices(Equipment.Kind.choices))
        self.fields["count"] = WholeField(label=_("How many"), widget=NumberInput({"inputmode": "numeric"}))
        if not kind or kind == Equipment.Kind.CLAMP:
            self.fields["reach"] = text_field(
                _("Reach"), suffix=person.unit, help_text=_("How far a clamp opens; places have none")
            )
            self.fields["clamp_kind"] = choice_field(
                _("Kind of clamp"),
                [
                    *([] if kind else [("", _("not told"))]),
                    *((name, translate_stored(name)) for name in CLAMP_KINDS),
                ],
                help_text=_("How hard it presses follows from it; places have none"),
            )
        self.fields["name"] = text_field(_("Called"), help_text=_("May stay empty"))


@worker
@require_safe
def equipment(request: SignedIn) -> HttpResponse:
    found = equipment_views(Equipment.objects.filter(retired_at=None))
    kinds = [
        (KINDS[k], translate_stored(k.label), [one for one in found if one["kind"] == k])
        for k in Equipment.Kind
    ]
    return render(request, "web/stages/equipment.html", {"kinds": kinds, "form_key": uuid.uuid4().hex})


@worker
@require_http_methods(["GET", "POST"])
def add(request: SignedIn) -> HttpResponse:
    return command_page(
        request, EquipmentForm(request.POST or None, person=request.user),
        partial(add_equipment, units=units_of(request.user)),
        (_("Added."), "web:equipment"), "web/stages/equipment_form.html",
    )  # fmt: skip


@worker
@require_http_methods(["GET", "POST"])
def change(request: SignedIn, key: int) -> HttpResponse:
    found, person = lookups.equipment(key), request.user
    view = equipment_views([found])[0]
    reach = "" if found.reach_len is None else format_length(found.reach_len, person.unit)
    before = {
        "count": found.count,
        "name": view["name"],
        "reach": reach,
        "clamp_kind": view["clamp_kind"],
    }

    def command(call: CommandContext, **asked: Any) -> CommandResult:
        changes = {n: v for n, v in asked.items() if v != before[n]} or {"count": asked["count"]}
        return change_equipment(call, equipment=key, units=units_of(person), **changes)

    return command_page(
        request,
        EquipmentForm(
            request.POST or None, person=person, kind=found.kind, initial=before, seen=found.version
        ),
        command, (_("Saved."), "web:equipment"), "web/stages/equipment_form.html",
        lambda: {"one": view, "form_key": uuid.uuid4().hex},
    )  # fmt: skip


@worker
@require_POST
def retire(request: SignedIn, key: int) -> HttpResponse:
    done = retire_equipment(_call(request), equipment=key)
    return redirect_with_message(request, done, _("Out of use."), "web:equipment")


@worker
@require_POST
def free(request: SignedIn, piece: str, key: str) -> HttpResponse:
    """Record that the clamps of a stage are off."""
    done = free_clamps(_call(request), piece=piece, stage=key)
    return redirect_with_message(request, done, _("The clamps are free."), "web:equipment")


def _call(request: SignedIn) -> CommandContext:
    return call_of(request, key=request.POST.get("form_key", ""))
