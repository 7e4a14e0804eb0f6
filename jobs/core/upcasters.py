"""Upcasters: they turn stored events of old versions into today's form on read.

The hash covers the stored form.
"""

from collections.abc import Callable
from typing import Any


def _price_in_no_currency(data: dict[str, Any]) -> dict[str, Any]:
    """Add an empty currency; the event does not say which currency the shop had then."""
    return {**data, "currency": ""}


def _wait_in_no_air(data: dict[str, Any]) -> dict[str, Any]:
    """Add no air; nothing was measured when this version was written."""
    return {**data, "air": None}


def _paper_credits_nothing(data: dict[str, Any]) -> dict[str, Any]:
    """Add no credited invoice; there were no credit notes."""
    return {**data, "credits": ""}


def _paper_of_a_commission(data: dict[str, Any]) -> dict[str, Any]:
    """Add no client and no payment; every paper belonged to a commission."""
    return {**data, "client": None, "payment": None}


def _paper_of_the_whole(data: dict[str, Any]) -> dict[str, Any]:
    """Add that a paper is for the whole; there were no deposit invoices."""
    return {**data, "what": ""}


def _payment_for_the_oldest(data: dict[str, Any]) -> dict[str, Any]:
    """Add no allocation; a payment could not name an invoice."""
    return {**data, "allocated": []}


def _payment_by_no_method(data: dict[str, Any]) -> dict[str, Any]:
    """Add no method; nobody asked how the money came."""
    return {**data, "method": ""}


def _client_nowhere(data: dict[str, Any]) -> dict[str, Any]:
    """Add empty address parts and tax data; nobody asked for a client's country and taxes."""
    return {**data, **dict.fromkeys(("postcode", "city", "country", "tax_id", "exempt"))}


def _answer_about_a_wait(data: dict[str, Any]) -> dict[str, Any]:
    """Add no subject; reminders were of waits alone when this version was written."""
    return {**data, "subject": "", "occasion": ""}


def _enquiry_unasked(data: dict[str, Any]) -> dict[str, Any]:
    """Add no wish, budget, day and origin; a commission opened with title and notes alone."""
    return {**data, "budget_currency": "", **dict.fromkeys(("asks_for", "budget", "wanted_on", "heard"))}


def _enquiry_untouched(data: dict[str, Any]) -> dict[str, Any]:
    """Add nothing; what a change does not name stays."""
    return data


LIFTS: dict[tuple[str, int], Callable[[dict[str, Any]], dict[str, Any]]] = {
    ("price_set", 1): _price_in_no_currency,
    ("paper_issued", 1): _paper_credits_nothing,
    ("paper_issued", 2): _paper_of_a_commission,
    ("paper_issued", 3): _paper_of_the_whole,
    ("commission_opened", 1): _enquiry_unasked,
    ("commission_changed", 1): _enquiry_untouched,
    ("client_added", 1): _client_nowhere,
    ("payment_received", 1): _payment_for_the_oldest,
    ("payment_received", 2): _payment_by_no_method,
    ("wait_finished", 1): _wait_in_no_air,
    ("reminder_acknowledged", 1): _answer_about_a_wait,
    ("reminder_snoozed", 1): _answer_about_a_wait,
}
"""(kind, version) -> the data one version newer."""


def upcast(kind: str, version: int, data: dict[str, Any]) -> dict[str, Any]:
    """Return the data of a stored event in the newest form of its kind."""
    while lift := LIFTS.get((kind, version)):
        data, version = lift(data), version + 1
    return data
