"""The shop's settings as they stand, with defaults."""

from typing import Any

from calcs.lumber.quarters import COMMON
from calcs.wood.indoors import DRY_RH_PCT, HUMID_RH_PCT, ROOM_C
from jobs.core.colors import USUAL
from jobs.core.command_cache import read_once
from jobs.log.private_texts import Texts, refs_of
from jobs.models import ShopProfile

VAT, SALES_TAX = "VAT", "sales tax"
BY_COUNTRY = "by country"

INCLUDED = (
    "choosing the boards with you, at the shop or by picture",
    "one finish sample on your own wood to approve",
    "one drawing of each top to approve, and one round of changes",
    "a care card with each piece",
)
EXCLUDED = (
    "legs, bases, glass, electrical work",
    "delivery, where it has no line in the price",
    "a second finish sample, or changes once wood is cut: by change order, priced before we go on",
    "moving other furniture, stairs beyond the first floor, cranes, permits",
)
DEFAULTS: dict[str, Any] = {
    "currency": "USD",
    "paper_size": "letter",
    "paper_units": BY_COUNTRY,
    "both_units": "no",
    "job_sheet_sources": "no",
    "paper_color": USUAL,
    "tax_pct": "0",
    "tax_name": BY_COUNTRY,
    "prices_include_tax": "no",
    "deposit_pct": "50",
    "deposit_before_wood": "yes",
    "waste_pct": "25",
    "price_per_board_foot": None,
    "summer_rh_pct": str(HUMID_RH_PCT),
    "winter_rh_pct": str(DRY_RH_PCT),
    "indoor_c": str(ROOM_C),
    "shop_c": "20",
    "shop_rh_pct": "45",
    "invoice_due_days": 14,
    "terms_abroad": {},
    "pay_by": "transfer",
    "invoice_file": "none",
    "keep_papers_years": 10,
    "hourly_rate": None,
    "hour_cost": None,
    "helper_hour_cost": None,
    "overhead_pct": "0",
    "profit_pct": "0",
    "profit_as": "markup",
    "quote_valid_days": 30,
    "quote_follow_up_days": 5,
    "promise_margin_days": 2,
    "quote_included": list(INCLUDED),
    "quote_excluded": list(EXCLUDED),
    "lumber_prices": {},
    "finish_prices": {},
    "glue_prices": {},
    "glue_kg_prices": {},
    "joinery_prices": {},
    "hardware_prices": {},
    "disc_price": None,
    "vat_basis": "invoice",
    "income_accounts": {},
    "money_accounts": {},
    "cost_accounts": {},
    "closing_time": "17:30",
    "morning": "08:00",
    "tell_client_days": 14,
    "places": ["shop", "finishing room", "wood store"],
    "people_at_hand": 1,
    "interruptions_pct": "15",
    "planer_width_len": None,
    "jointer_width_len": None,
    "stocked_thicknesses": list(COMMON),
}
"""Common practice, no source, but the seasons indoors (`calcs.wood.indoors`); a shop sets its own."""
IN_INCHES = ("", "US", "CA")
"""Countries whose shops measure in inches unless they say otherwise; so does one that names none."""


@read_once("shop_set", "logo_set")
def profile() -> ShopProfile | None:
    """Return the shop's own settings; None before anything was set."""
    return ShopProfile.objects.first()


@read_once("shop_set")
def settings() -> dict[str, Any]:
    """Return the shop's settings over the defaults; callers must not change the mapping."""
    shop = profile()
    return {**DEFAULTS, **(shop.data if shop else {})}


@read_once("shop_set")
def shop_unit() -> str:
    """Return the unit of the shop's papers, ``in`` or ``mm``: as it is set, else by the shop's country."""
    chosen = str(settings()["paper_units"])
    if chosen in ("in", "mm"):
        return chosen
    return "in" if _country() in IN_INCHES else "mm"


@read_once("shop_set")
def tax_name() -> str:
    """Return what the shop calls its tax: as set, else sales tax in the US and VAT in other countries.

    A shop that names no country is where its currency is.
    """
    name = str(settings()["tax_name"])
    if name != BY_COUNTRY:
        return name
    country = _country()
    in_us = country == "US" if country else settings()["currency"] == "USD"
    return SALES_TAX if in_us else VAT


def terms_for(country: str, usual: str) -> str:
    """Return the shop's terms for clients of a country; ``usual`` where it has none of their own."""
    return str(settings()["terms_abroad"].get(country) or usual)


def _country() -> str:
    """Return the shop's country by its two letters; empty where none is set."""
    shop = profile()
    return Texts(refs_of([shop]))[shop.country_ref] if shop else ""
