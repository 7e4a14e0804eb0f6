"""The shop's settings, and its log. For the owner."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from calcs.kit.units import format_length
from jobs.core.errors import LogBroken, ShopError
from jobs.core.units import Units
from jobs.domain.reminders.delivery import resend
from jobs.domain.reminders.queries import undelivered
from jobs.domain.settings import DEFAULTS, profile, settings
from jobs.domain.workshop.commands import CHOICES, LENGTHS, NUMBERS, SETTINGS, set_shop
from jobs.log.integrity import verify_all
from jobs.log.private_texts import Texts, refs_of
from jobs.log.projections.shop import PRIVATE
from jobs.models import Event, LogHead
from jobs.web.commissions.history import event_rows, names_of_people
from jobs.web.kit.access import owner, worker
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.formatting import number_words
from jobs.web.kit.forms import PageForm, choice_field, number_field, sentence, text_field
from jobs.web.kit.stored_translations import Text, capital, told_choices, translate_stored

EVENTS_PER_PAGE = 50
MAY_BE_EMPTY = {name.removesuffix("_len") for name, usual in DEFAULTS.items() if usual is None}
TEXTS: dict[str, tuple[Text, int, Text]] = {
    "name": (gettext_lazy("Name of the shop"), 0, gettext_lazy("As it stands on papers.")),
    "address": (gettext_lazy("Address"), 3, ""),
    "postcode": (
        gettext_lazy("Postcode"),
        0,
        gettext_lazy("Printed below the address, in the order of the country."),
    ),
    "city": (gettext_lazy("City"), 0, ""),
    "country": (gettext_lazy("Country"), 0, gettext_lazy("Two letters, such as US.")),
    "contact": (gettext_lazy("Telephone, e-mail"), 2, ""),
    "email": (gettext_lazy("E-mail for answers"), 0, gettext_lazy("Clients who answer news write to it.")),
    "tax_id": (gettext_lazy("Tax number"), 0, ""),
    "payment": (gettext_lazy("How to pay"), 3, gettext_lazy("Stands on invoices.")),
    "terms": (gettext_lazy("Terms"), 3, gettext_lazy("Stands on invoices.")),
}
SUFFIXES = {
    "invoice_due_days": gettext_lazy("days"),
    "tell_client_days": gettext_lazy("days"),
    "keep_papers_years": gettext_lazy("years"),
    "indoor_c": "°C",
    "shop_c": "°C",
    "price_per_board_foot": "",
    "disc_price": "",
    "hourly_rate": "",
    "quote_valid_days": gettext_lazy("days"),
    "people_at_hand": "",
}
HINTS = {
    "winter_rh_pct": gettext_lazy(
        "5 to 95. Heated houses in a cold winter read 15 to 25; 25 to 60 is the range for people indoors."
    ),
}
"""In place of the range, where a maker needs more to choose."""
CHOICE_LABELS = {"paper_size": gettext_lazy("Paper size"), "profit_as": gettext_lazy("Profit as")}
MACHINES = {
    "planer_width": gettext_lazy("Width of the planer"),
    "jointer_width": gettext_lazy("Width of the jointer"),
}
PRICE_LISTS = {
    "lumber_prices": (
        gettext_lazy("Price of a board foot by species"),
        gettext_lazy("A line each, such as black walnut: 14.50"),
    ),
    "finish_prices": (
        gettext_lazy("Price of a litre by finish"),
        gettext_lazy("A line each, by the key of its sheet, such as hard-wax-oil: 40"),
    ),
    "glue_prices": (
        gettext_lazy("Price of a litre by glue"),
        gettext_lazy("A line each, by the key of its sheet, such as pva: 9.50"),
    ),
    "glue_kg_prices": (
        gettext_lazy("Price of a kilogram by glue"),
        gettext_lazy("For glue sold by weight; a price of its litre comes first"),
    ),
    "joinery_prices": (
        gettext_lazy("Price of a biscuit, dowel or tenon"),
        gettext_lazy("A line each by size, such as biscuit 20: 0.08 or dowel 3/8: 0.12"),
    ),
    "hardware_prices": (
        gettext_lazy("Price of a part"),
        gettext_lazy(
            "A line each, such as bolt with insert: 1.40; also steel channel, breadboard peg, screw with"
            " washer, table button, figure-eight"
        ),
    ),
}
GROUPS: dict[str, tuple[Text, tuple[str, ...]]] = {
    "rates": (
        gettext_lazy("Rates for quotes"),
        (
            "hourly_rate",
            "overhead_pct",
            "profit_pct",
            "profit_as",
            "quote_valid_days",
            "price_per_board_foot",
            *PRICE_LISTS,
            "disc_price",
        ),
    ),
    "money": (
        gettext_lazy("Money"),
        (
            "currency",
            "tax_pct",
            "deposit_pct",
            "invoice_due_days",
            "paper_size",
            "keep_papers_years",
        ),
    ),
    "papers": (gettext_lazy("On papers"), tuple(TEXTS)),
    "hours": (gettext_lazy("Hours"), ("closing_time", "morning", "tell_client_days")),
    "hands": (gettext_lazy("Hands and machines"), ("people_at_hand", *MACHINES)),
    "air": (
        gettext_lazy("Wood and air"),
        (
            "places",
            "stocked_thicknesses",
            "waste_pct",
            "shop_c",
            "shop_rh_pct",
            "indoor_c",
            "winter_rh_pct",
            "summer_rh_pct",
        ),
    ),
}
"""The parts of the page in order, the one changed most often first."""


class ShopForm(PageForm):
    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        for name, (label, lines, hint) in TEXTS.items():
            self.fields[name] = text_field(label, lines=lines, help_text=hint)
        self.fields["currency"] = text_field(
            _("Currency"), help_text=_("Three letters, such as USD"), maxlength="3"
        )
        for name, values in CHOICES.items():
            self.fields[name] = choice_field(CHOICE_LABELS[name], told_choices((v, v) for v in values))
        for name, (least, most, what) in NUMBERS.items():
            suffix = SUFFIXES.get(name, "%")
            self.fields[name] = number_field(
                capital(translate_stored(what)),
                suffix=suffix,
                help_text=HINTS.get(name) or _("%(least)s to %(most)s") % {"least": least, "most": most},
            )
        for name, (label, hint) in PRICE_LISTS.items():
            self.fields[name] = text_field(label, lines=3, help_text=hint)
        for name, label in MACHINES.items():
            self.fields[name] = text_field(label, help_text=_("Sub-assemblies are kept within it"))
        self.fields["closing_time"] = text_field(
            _("Closing time"),
            maxlength="5",
            help_text=_("Such as 17:30; open safety tasks are asked about then"),
        )
        self.fields["morning"] = text_field(
            _("Morning"), maxlength="5", help_text=_("Such as 08:00; the day's reminders come then")
        )
        self.fields["places"] = text_field(
            _("Places where the air is measured"),
            help_text=_("With commas between; a reading that names none is the first's"),
        )

        self.fields["stocked_thicknesses"] = text_field(
            _("Rough thicknesses that the yard stocks"),
            help_text=_("With commas between, such as 4/4, 8/4 or 26 mm, 52 mm; no others are proposed"),
        )

    @property
    def groups(self) -> list[dict[str, Any]]:
        return [
            {"place": place, "title": title, "fields": [self[n] for n in names], "wide": place == "papers"}
            for place, (title, names) in GROUPS.items()
        ]


@owner
@require_http_methods(["GET", "POST"])
def shop(request: SignedIn) -> HttpResponse:
    units = units_of(request.user)
    before = _before(units)
    shop = profile()
    form = ShopForm(request.POST or None, initial=before, seen=shop.version if shop else 0)
    return command_page(
        request, form, lambda call, **asked: set_shop(call, units=units, **_split(asked, before)),
        (_("Saved."), "web:shop"), "web/workshop/shop.html",
    )  # fmt: skip


def _before(units: Units) -> dict[str, str]:
    shop = profile()
    texts = Texts(refs_of([shop])) if shop else None
    held = settings()
    return {
        **{name: texts[getattr(shop, f"{name}_ref")] if texts else "" for name in PRIVATE},
        **{
            name: number_words(held[name]) if name in NUMBERS else held[name]
            for name in SETTINGS
            if name in held
        },
        **{name: _length(held[f"{name}_len"], units) for name in LENGTHS},
        **{name: ", ".join(held[name]) for name in ("places", "stocked_thicknesses")},
        **{n: "\n".join(f"{key}: {price}" for key, price in held[n].items()) for n in PRICE_LISTS},
    }


def _length(kept: int | None, units: Units) -> str:
    return "" if kept is None else format_length(kept, units.length)


def _split(asked: dict[str, Any], before: dict[str, str]) -> dict[str, Any]:
    """Return what differs, texts apart from settings; where nothing differs, the shop's name again."""
    changed = {n: v for n, v in asked.items() if v.replace("\r\n", "\n") != before[n]}
    values = {n: (v or None if n in MAY_BE_EMPTY else v) for n, v in changed.items() if n in SETTINGS}
    texts = {n: v for n, v in changed.items() if n in PRIVATE}
    if not values and not texts:
        texts = {"name": asked["name"]}
    return {"settings": values, **texts}


@worker
@require_safe
def more(request: SignedIn) -> HttpResponse:
    """Show the pages that are not needed every hour."""
    return render(request, "web/workshop/more.html")


@owner
@require_safe
def log(request: SignedIn) -> HttpResponse:
    """Show the newest events, and older ones page by page."""
    found = Event.objects.order_by("-seq")
    before = request.GET.get("before", "")
    if before.isascii() and before.isdigit() and len(before) < 19:
        found = found.filter(seq__lt=int(before))
    events = event_rows(
        found[:EVENTS_PER_PAGE], units=units_of(request.user), with_money=True, names=names_of_people()
    )
    older = events[-1]["seq"] if events and events[-1]["seq"] > 1 else None
    head = LogHead.objects.filter(id=1).first()
    return render(request, "web/workshop/log.html", {"events": events, "older": older, "head": head})


@owner
@require_safe
def lost_mail(request: SignedIn) -> HttpResponse:
    """Show reminders that did not arrive by mail or push."""
    return render(request, "web/workshop/lost_mail.html", {"rows": undelivered()})


@owner
@require_POST
def resend_lost(request: SignedIn, delivery: int) -> HttpResponse:
    """Queue a lost reminder again for the next sweep."""
    try:
        resend(delivery, now=timezone.now())
    except ShopError as refused:
        messages.error(request, sentence(refused))
    else:
        messages.success(request, _("It will be sent again in a moment."))
    return redirect("web:lost-mail")


@owner
@require_POST
def verify(request: SignedIn) -> HttpResponse:
    """Verify the whole chain and show the result."""
    context: dict[str, Any] = {"at": timezone.now()}
    try:
        context["verified"] = verify_all()
    except LogBroken as broken:
        context["broken"] = broken.detail
    template = "web/workshop/parts/verified.html" if request.htmx else "web/workshop/log_verified.html"
    return render(request, template, context)
