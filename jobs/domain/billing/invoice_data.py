"""The data that EN 16931 requires of an invoice."""

from collections.abc import Mapping
from typing import Any

from iso4217 import Currency


def gaps(content: Mapping[str, Any]) -> list[str]:
    """Return the data EN 16931 requires that an invoice or credit note lacks, in plain words."""
    shop, client = content["shop"], content["client"]
    categories = {line["tax_category"] for line in content["lines"]}
    reason = client.get("exempt") or shop.get("exempt_reason")
    checks = (
        (shop["name"], "the shop's name"),  # BR-06
        (shop.get("country"), "the shop's country"),  # BR-09
        (shop["tax_id"], "the shop's tax number"),  # BR-CO-26
        (client["name"], "the client's name"),  # BR-07
        (client.get("country"), "the client's country"),  # BR-11
        ("E" not in categories or reason, "why the client is exempt from tax"),  # BR-E-10
        ("O" not in categories or len(categories) == 1, "its own invoice for what is outside tax"),  # BR-O-11
        (_is_currency(content["currency"]), "a currency with a code of three letters"),  # BR-CL-04
    )  # fmt: skip
    return [what for held, what in checks if not held]


def _is_currency(code: str) -> bool:
    try:
        return bool(Currency(code).value == code)
    except ValueError:
        return False
