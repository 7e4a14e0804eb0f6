"""Supplies: a container, its level, a new lot, its end."""

from functools import partial
from typing import Any

from django.forms import NumberInput
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.domain import lookups
from jobs.domain.stock.product_sheets import KINDS, newest
from jobs.domain.stock.queries import supply_views
from jobs.domain.stock.supplies import (
    UNITS,
    add_supply,
    discard_supply,
    open_supply,
    price_supply,
    refill_supply,
    set_level,
)
from jobs.models import Supply
from jobs.models.bases import row_key
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import carried_out, command_page
from jobs.web.kit.forms import (
    PageForm,
    WholeField,
    choice_field,
    date_field,
    number_field,
    reason_field,
    text_field,
)
from jobs.web.kit.stored_translations import Text, told_choices


class SupplyForm(PageForm):
    """A container for the shelf."""

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        sheets = [(p.key, f"{p.sheet.name} ({kind})") for kind in KINDS for p in newest(kind).values()]
        self.fields["kind"] = choice_field(_("Kind"), told_choices(Supply.Kind.choices))
        self.fields["name"] = text_field(_("What it is"), help_text=_("As you say it in the shop"))
        self.fields["sheet"] = choice_field(_("Product sheet"), [("", _("None")), *sheets])
        self.fields["lot"] = text_field(_("Lot"), help_text=_("As it stands on the pack"), autocomplete="off")
        self.fields["got_on"] = date_field(_("Came on"), help_text=_("Empty: today"))
        self.fields["opened_on"] = date_field(_("Opened on"), help_text=_("Empty: not opened yet"))
        self.fields["use_by"] = date_field(_("Date printed on it"), help_text=_("May stay empty"))
        self.fields["shelf_life_d"] = WholeField(
            label=_("Keeps, in days"),
            required=False,
            widget=NumberInput({"inputmode": "numeric"}),
            help_text=_("Empty: as on its sheet"),
        )
        self.fields["level"] = choice_field(_("Level"), told_choices(Supply.Level.choices))


class Verb(PageForm):
    """One of several forms on the page of a container."""

    verb = ""
    says: Text = ""
    button: Text = ""
    risky = waits = is_owners = False

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        self.auto_id = f"id_{self.verb}_%s"


class LevelForm(Verb):
    verb, says, button = "level", gettext_lazy("How much is left"), gettext_lazy("Save the level")
    command, waits = staticmethod(set_level), True
    level = choice_field(gettext_lazy("Level"), told_choices(Supply.Level.choices))


class OpenForm(Verb):
    verb, says, button = "open", gettext_lazy("It was opened"), gettext_lazy("Opened")
    command = staticmethod(open_supply)
    opened_on = date_field(gettext_lazy("On"), help_text=gettext_lazy("Empty: today"))


class RefillForm(Verb):
    verb, says, button = "refill", gettext_lazy("A fresh lot in its place"), gettext_lazy("Refilled")
    command = staticmethod(refill_supply)
    lot = text_field(
        gettext_lazy("Lot"), help_text=gettext_lazy("As it stands on the pack"), autocomplete="off"
    )
    got_on = date_field(gettext_lazy("Came on"), help_text=gettext_lazy("Empty: today"))
    use_by = date_field(gettext_lazy("Date printed on it"), help_text=gettext_lazy("May stay empty"))


class PriceForm(Verb):
    verb, says, button = "price", gettext_lazy("What a full one costs"), gettext_lazy("Save the price")
    command, is_owners = staticmethod(price_supply), True
    price = number_field(gettext_lazy("Price without tax"), autocomplete="off")
    holds = number_field(gettext_lazy("It holds"), help_text=gettext_lazy("Such as 3.8"))
    unit = choice_field(gettext_lazy("Unit"), told_choices((unit, unit) for unit in UNITS))


class DiscardForm(Verb):
    verb, says, button, risky = (
        "discard",
        gettext_lazy("Discard it"),
        gettext_lazy("Discard it for good"),
        True,
    )
    command = staticmethod(discard_supply)
    reason = reason_field(gettext_lazy("Why"))


VERBS = {form.verb: form for form in (LevelForm, OpenForm, RefillForm, PriceForm, DiscardForm)}


@worker
@require_http_methods(["GET", "POST"])
def add(request: SignedIn) -> HttpResponse:
    return command_page(
        request, SupplyForm(request.POST or None), add_supply,
        lambda first: (_("On the shelf."), "web:supply", row_key(first.seq)), "web/stock/supply_new.html",
    )  # fmt: skip


@worker
@require_safe
def supply(request: SignedIn, key: int) -> HttpResponse:
    return _page(request, key)


@worker
@require_POST
def supply_verb(request: SignedIn, key: int, verb: str) -> HttpResponse:
    """Run one of the forms on the page of a container."""
    if verb not in VERBS:
        raise Http404
    form = VERBS[verb](request.POST)
    lookups.supply(key)
    return carried_out(
        request, form, partial(form.command, supply=key),
        (_("%(says)s: saved.") % {"says": form.says}, "web:supply", key), lambda: _page(request, key, form),
    )  # fmt: skip


def _initial(found: Supply) -> dict[str, Any]:
    priced = {} if found.price is None else {
        "price": f"{found.price:f}", "holds": f"{found.holds:f}", "unit": found.holds_unit,
    }  # fmt: skip
    return {"level": found.level, **priced}


def _page(request: SignedIn, key: int, refused: Verb | None = None) -> HttpResponse:
    found = lookups.supply(key)
    forms = [
        refused
        if refused is not None and refused.verb == verb
        else form(seen=found.version, initial=_initial(found))
        for verb, form in VERBS.items()
        if found.discarded_at is None
        and not (verb == "open" and found.opened_on)
        and (request.user.is_owner or not form.is_owners)
    ]
    view = supply_views([found], today=timezone.localdate())[0]
    context = {
        "supply": view,
        "forms": forms,
        "refused": refused,
        "stream": f"supply:{key}",
        "called": view["name"],
    }
    status = refused.status if refused is not None else 200
    return render(request, "web/stock/supply.html", context, status=status)
