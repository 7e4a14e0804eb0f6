"""The shop's settings in sections, a page for each. For the owner."""

from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from calcs.kit.amounts import format_temperature, parse_temperature
from calcs.kit.units import format_length
from jobs.core.parsing import to_money
from jobs.domain.settings import DEFAULTS, SALES_TAX, profile, settings, tax_name
from jobs.domain.stock.product_sheets import newest
from jobs.domain.workshop.commands import CHOICES, LENGTHS, NUMBERS, SETTINGS, set_shop
from jobs.log.commands import CommandContext, CommandResult
from jobs.log.private_texts import Texts, refs_of
from jobs.log.projections.shop import PRIVATE
from jobs.models import Person
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.formatting import number_words
from jobs.web.kit.forms import PageForm, choice_field, number_field, text_field
from jobs.web.kit.shop_sections import (
    ACCOUNT_LISTS,
    CHOICE_LABELS,
    HINTS,
    LIST_LABELS,
    PRICE_A_VOLUME,
    PRICE_A_WEIGHT,
    PRICE_LISTS,
    QUOTED_LABELS,
    SECTIONS,
    TEXTS,
)
from jobs.web.kit.stored_translations import capital, told_choices, translate_stored
from jobs.web.workshop.paper_look import shown_look

MAY_BE_EMPTY = {name.removesuffix("_len") for name, usual in DEFAULTS.items() if usual is None}
WARMTHS = ("shop_c", "indoor_c")
LISTS = {"places": ", ", "stocked_thicknesses": ", ", "quote_included": "\n", "quote_excluded": "\n"}
"""What stands between the entries of a list as it is typed."""
PRICED_BY_SHEET = {**PRICE_A_VOLUME, **PRICE_A_WEIGHT}
LITRES_A_QUART, KILOGRAMS_A_POUND = Decimal("0.946352946"), Decimal("0.45359237")
"""NIST Handbook 44 (2024), appendix C: a US liquid quart, an avoirdupois pound, both exact."""
CENT = Decimal("0.01")
"""A price a litre kept to the cent gives the price a quart back to the cent, since a quart is smaller."""
SUFFIXES = {
    "invoice_due_days": gettext_lazy("days"),
    "tell_client_days": gettext_lazy("days"),
    "keep_papers_years": gettext_lazy("years"),
    "price_per_board_foot": "",
    "disc_price": "",
    "hourly_rate": "",
    "hour_cost": "",
    "helper_hour_cost": "",
    "quote_valid_days": gettext_lazy("days"),
    "quote_follow_up_days": gettext_lazy("days"),
    "promise_margin_days": gettext_lazy("days"),
    "people_at_hand": "",
}
MACHINES = {
    "planer_width": gettext_lazy("Width of the planer"),
    "jointer_width": gettext_lazy("Width of the jointer"),
}
CLOCK_LABELS = {"morning": gettext_lazy("The day begins"), "closing_time": gettext_lazy("The shop closes")}
CLOCK_HINTS = {
    "morning": gettext_lazy("Such as 08:00; the day's reminders come then"),
    "closing_time": gettext_lazy("Such as 17:30; rags and dust are asked about then"),
}


class ShopForm(PageForm):
    """The settings named, in the person's units."""

    def __init__(self, data: Any = None, *, names: tuple[str, ...], person: Person, **more: Any) -> None:
        super().__init__(data, **more)
        for name in names:
            if name in PRICED_BY_SHEET:
                self._add_prices(name, person)
            else:
                self.fields[name] = _field(name, person)

    def _add_prices(self, setting: str, person: Person) -> None:
        for key, found in newest(PRICED_BY_SHEET[setting]).items():
            self.fields[f"{setting}/{key}"] = number_field(
                capital(translate_stored(found.entry.name)), suffix=_per(setting, person), autocomplete="off"
            )

    @property
    def groups(self) -> Iterator[dict[str, Any]]:
        """Yield the fields in the order of the section; prices by sheet folded, a group a list."""
        plain = [self[n] for n in self.fields if "/" not in n and not n.startswith("form_")]
        for setting, title in PRICE_TITLES.items():
            fields = [self[n] for n in self.fields if n.startswith(f"{setting}/")]
            if fields:
                yield {"title": title, "fields": fields, "is_open": any(f.errors for f in fields)}
        yield {"title": "", "fields": plain, "is_open": True}

    def field_of(self, name: str) -> str:
        """Return the form's field for a refusal; a price by sheet is named by its list."""
        found = [n for n in self.fields if n.startswith(f"{name}/") and self.data.get(n)]
        return found[0] if name in PRICED_BY_SHEET and found else name


PRICE_TITLES = {
    "finish_prices": gettext_lazy("Finishes"),
    "glue_prices": gettext_lazy("Glues"),
    "glue_kg_prices": gettext_lazy("Glues sold by weight"),
}


def _per(setting: str, person: Person) -> str:
    if setting in PRICE_A_WEIGHT:
        return _("a pound") if person.unit == "in" else _("a kilogram")
    return _("a quart") if person.unit == "in" else _("a liter")


def _field(name: str, person: Person) -> forms.Field:
    if name in TEXTS:
        label, lines, hint = TEXTS[name]
        if name == "tax_id":
            tax = tax_name()
            sold = tax == SALES_TAX
            label = _("Seller's permit") if sold else _("%(tax)s number") % {"tax": translate_stored(tax)}
        return text_field(label, lines=lines, help_text=hint)
    if name in CHOICES:
        return choice_field(
            CHOICE_LABELS[name], told_choices((v, v) for v in CHOICES[name]), help_text=HINTS.get(name, "")
        )
    if name in PRICE_LISTS or name in ACCOUNT_LISTS:
        label, hint = PRICE_LISTS.get(name) or ACCOUNT_LISTS[name]
        return text_field(label, lines=3, help_text=hint)
    if name in QUOTED_LABELS:
        hint = _("A line each; every new quote starts with them, and you can change them there")
        return text_field(QUOTED_LABELS[name], lines=6, help_text=hint)
    if name in LIST_LABELS:
        label, hint = LIST_LABELS[name]
        return text_field(label, help_text=hint)
    if name in CLOCK_LABELS:
        return text_field(CLOCK_LABELS[name], maxlength="5", help_text=CLOCK_HINTS[name])
    if name in MACHINES:
        return text_field(
            MACHINES[name], suffix=person.unit, help_text=_("Panels are kept narrower; empty: there is none")
        )
    if name == "currency":
        return text_field(_("Currency"), help_text=_("Three letters, such as USD"), maxlength="3")
    if name == "paper_color":
        return text_field(
            _("Color of the shop"),
            help_text=_("Such as #5a3a1c; dark enough to be read on white"),
            maxlength="7",
        )
    suffix = f"°{person.temperature_unit}" if name in WARMTHS else SUFFIXES.get(name, "%")
    label = capital(translate_stored(NUMBERS[name][2]))
    return number_field(label, suffix=suffix, help_text=HINTS.get(name, ""))


@owner
@require_safe
def shop(request: SignedIn) -> HttpResponse:
    """Show the sections of the settings."""
    sections = [{"key": key, "title": title, "what": what} for key, (title, what, _n) in SECTIONS.items()]
    return render(request, "web/workshop/shop.html", {"sections": sections})


@owner
@require_http_methods(["GET", "POST"])
def section(request: SignedIn, key: str) -> HttpResponse:
    """Show one section; a POST sets what differs."""
    if key not in SECTIONS:
        raise Http404
    title, what, names = SECTIONS[key]
    before, form = settings_form(request, names)

    def command(call: CommandContext, **asked: Any) -> CommandResult:
        return set_shop(call, units=units_of(request.user), **changed(asked, before, request.user))

    after = ("web:shop-section", key) if key == "look" else ("web:shop",)
    return command_page(
        request, form, command, (_("Saved."), *after), "web/workshop/shop_section.html",
        lambda: {"title": title, "what": what, "look": shown_look() if key == "look" else None},
    )  # fmt: skip


def settings_form(request: SignedIn, names: tuple[str, ...]) -> tuple[dict[str, str], ShopForm]:
    """Return what stands, as it is shown, and the form of these settings."""
    shop = profile()
    before = _before(request.user)
    form = ShopForm(
        request.POST or None,
        names=names,
        person=request.user,
        initial=before,
        seen=shop.version if shop else 0,
    )
    return before, form


def _before(person: Person) -> dict[str, str]:
    shop = profile()
    texts = Texts(refs_of([shop])) if shop else None
    held = settings()
    by_sheet = {
        f"{setting}/{key}": _shown_price(Decimal(price), setting, person)
        for setting in PRICED_BY_SHEET
        for key, price in held[setting].items()
    }
    return {
        **{name: texts[getattr(shop, f"{name}_ref")] if texts else "" for name in PRIVATE},
        **{
            name: number_words(held[name]) if name in NUMBERS else held[name]
            for name in SETTINGS
            if name in held
        },
        **{name: _bare(format_temperature(Decimal(held[name]), person.temperature_unit)) for name in WARMTHS},
        **{name: _length(held[f"{name}_len"], person) for name in LENGTHS},
        **{name: between.join(held[name]) for name, between in LISTS.items()},
        **{
            n: "\n".join(f"{key}: {price}" for key, price in held[n].items())
            for n in (*PRICE_LISTS, *ACCOUNT_LISTS)
        },
        **by_sheet,
    }


def _bare(words: str) -> str:
    return words.partition(" ")[0]


def _length(kept: int | None, person: Person) -> str:
    return "" if kept is None else format_length(kept, person.unit)


def _shown_price(kept: Decimal, setting: str, person: Person) -> str:
    """Return a price a litre or kilogram as the person says it."""
    shown = kept * _size(setting, person)
    return f"{shown.quantize(CENT, ROUND_HALF_UP):f}"


def _size(setting: str, person: Person) -> Decimal:
    if person.unit != "in":
        return Decimal(1)
    return KILOGRAMS_A_POUND if setting in PRICE_A_WEIGHT else LITRES_A_QUART


def changed(asked: dict[str, Any], before: dict[str, str], person: Person) -> dict[str, Any]:
    """Return what differs, texts apart from settings; where nothing differs, one value again."""
    differs = {n: v for n, v in asked.items() if v.replace("\r\n", "\n") != before.get(n, "")}
    values: dict[str, Any] = {
        n: (v or None if n in MAY_BE_EMPTY else v) for n, v in differs.items() if n in SETTINGS
    }
    values |= _warm({n: values[n] for n in WARMTHS if n in values}, person)
    values |= _prices(differs, person)
    texts = {n: v for n, v in differs.items() if n in PRIVATE}
    if not values and not texts:
        return {"settings": {"currency": settings()["currency"]}}
    return {"settings": values, **texts}


def _warm(typed: dict[str, str], person: Person) -> dict[str, Decimal]:
    """Return temperatures in °C, out of the person's unit."""
    return {
        name: parse_temperature(
            text, unit=person.temperature_unit, field=name, least=NUMBERS[name][0], most=NUMBERS[name][1]
        )
        for name, text in typed.items()
    }


def _prices(differs: dict[str, str], person: Person) -> dict[str, dict[str, Decimal]]:
    """Return the lists of prices by sheet, with those typed; an emptied one is left out."""
    lists: dict[str, dict[str, Decimal]] = {}
    for name, text in differs.items():
        setting, slash, key = name.partition("/")
        if not slash:
            continue
        kept = lists.setdefault(setting, {k: Decimal(v) for k, v in settings()[setting].items()})
        kept.pop(key, None)
        if text:
            kept[key] = (to_money(text, setting) / _size(setting, person)).quantize(CENT, ROUND_HALF_UP)
    return lists
