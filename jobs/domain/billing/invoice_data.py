"""The data that EN 16931 requires of an invoice, and those that XRechnung asks for beyond."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from iso4217 import Currency

GERMANY = "DE"


@dataclass(frozen=True, kw_only=True)
class Gap:
    """What is missing: in words, and the setting of the shop or the field of the client that holds it.

    ``owner`` is "shop" or "client"; "order" where the invoice itself lacks it.
    """

    what: str
    owner: str
    field: str

    def __str__(self) -> str:
        return self.what

    @property
    def where(self) -> str:
        """Return where it is set, in words."""
        return {"shop": "in the shop's settings", "client": "at the client"}.get(self.owner, "on the order")


def gaps(content: Mapping[str, Any]) -> list[Gap]:
    """Return the data EN 16931 requires that an invoice or credit note lacks."""
    shop, client = content["shop"], content["client"]
    categories = {line["tax_category"] for line in content["lines"]}
    reason = client.get("exempt") or shop.get("exempt_reason")
    checks = (
        (shop["name"], "the shop's name", "shop", "name"),  # BR-06
        (shop.get("country"), "the shop's country", "shop", "country"),  # BR-09
        (shop["tax_id"], "the shop's tax number", "shop", "tax_id"),  # BR-CO-26
        (client["name"], "the client's name", "client", "name"),  # BR-07
        (client.get("country"), "the client's country", "client", "country"),  # BR-11
        (
            "E" not in categories or reason,
            "why the client is exempt from tax", "client", "exempt",
        ),  # BR-E-10
        (
            "O" not in categories or len(categories) == 1,
            "its own invoice for what is outside tax", "order", "lines",
        ),  # BR-O-11
        (
            "K" not in categories or content.get("supplied_on"),
            "the day it was delivered", "order", "supplied_on",
        ),  # BR-IC-11
        (_is_currency(content["currency"]), "a currency of three letters", "shop", "currency"),
    )  # fmt: skip
    return [Gap(what=what, owner=owner, field=field) for held, what, owner, field in checks if not held]


def xrechnung_gaps(content: Mapping[str, Any]) -> list[Gap]:
    """Return what a paper of a German shop lacks for XRechnung 3.0 (BR-DE); the country for other shops."""
    shop, client = content["shop"], content["client"]
    by = content.get("pay_by", "")
    checks = (
        (shop.get("country") == GERMANY, "a shop in Germany", "shop", "country"),
        (shop.get("person"), "who answers about invoices", "shop", "person"),  # BR-DE-2, 5
        (shop.get("phone"), "the phone for invoices", "shop", "phone"),  # BR-DE-6
        (shop.get("email"), "the shop's e-mail", "shop", "email"),  # BR-DE-7
        (shop.get("city"), "the shop's city", "shop", "city"),  # BR-DE-3
        (shop.get("postcode"), "the shop's postal code", "shop", "postcode"),  # BR-DE-4
        (by and (by != "transfer" or shop.get("iban")), "the shop's IBAN", "shop", "iban"),  # BR-DE-1
        (client.get("city"), "the client's city", "client", "city"),  # BR-DE-8
        (client.get("postcode"), "the client's postal code", "client", "postcode"),  # BR-DE-9
        (
            client.get("buyer_reference"),
            "the client's reference", "client", "buyer_reference",
        ),  # BR-DE-15
        (
            client.get("endpoint") or client.get("email"),
            "the client's e-mail", "client", "email",
        ),  # PEPPOL-EN16931-R010
    )  # fmt: skip
    return [Gap(what=what, owner=owner, field=field) for held, what, owner, field in checks if not held]


def _is_currency(code: str) -> bool:
    try:
        return bool(Currency(code).value == code)
    except ValueError:
        return False
