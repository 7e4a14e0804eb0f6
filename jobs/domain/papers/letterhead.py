"""The head of a paper: shop, client and commission as they stand."""

from typing import Any

from jobs.domain import lookups
from jobs.domain.settings import profile, settings, shop_unit, tax_name, terms_for
from jobs.log.private_texts import Texts, read, refs_of
from jobs.models import Commission

SHOP_TEXTS = (
    "name", "address", "postcode", "city", "country", "contact", "tax_id", "payment", "terms",
    "email", "person", "phone", "account_name", "iban", "bic", "endpoint",
    "exempt_reason",
)  # fmt: skip
CLIENT_TEXTS = (
    "name", "address", "postcode", "city", "country", "email", "phone", "tax_id", "exempt",
    "exempt_state", "exempt_from", "exempt_until", "endpoint", "buyer_reference",
)  # fmt: skip


def currency_of(commission: Commission) -> str:
    """Return the currency of a commission: that of its price, else of a new price."""
    return commission.price_currency or currency_for_price(commission)


def currency_for_price(commission: Commission) -> str:
    """Return the currency of a new price: that of the first payment, else the shop's."""
    first = min(lookups.payments(commission), key=lambda payment: payment.id, default=None)
    return first.currency if first else str(settings()["currency"])


def shop_texts() -> dict[str, str]:
    """Return the shop's texts for papers."""
    shop = profile()
    texts = Texts(refs_of([shop] if shop else []))
    return {name: texts[getattr(shop, f"{name}_ref")] if shop else "" for name in SHOP_TEXTS}


def sizes_of_shop() -> dict[str, Any]:
    """Return the unit of the shop's papers, and whether finished sizes show the other one too."""
    return {"unit": shop_unit(), "both": settings()["both_units"] == "yes"}


def shop_look() -> dict[str, str]:
    """Return the look of papers: the shop's color, and the hash of its logo where it has one."""
    shop = profile()
    return {"color": settings()["paper_color"], "logo": read(shop.logo_ref) if shop else ""}


def heading(commission: Commission) -> dict[str, Any]:
    """Return the texts of shop, client and commission as they stand."""
    shop = profile()
    client = commission.client
    texts = Texts(refs_of([x for x in (shop, client, commission) if x]))

    def of_shop(name: str) -> str:
        return texts[getattr(shop, f"{name}_ref")] if shop else ""

    told = {n: of_shop(n) for n in SHOP_TEXTS}
    return {
        "shop": {**told, "terms": terms_for(texts[client.country_ref], told["terms"])},
        "look": shop_look(),
        "client": {n: texts[getattr(client, f"{n}_ref")] for n in CLIENT_TEXTS},
        "commission": {
            "number": commission.number,
            "title": texts[commission.title_ref],
            "promise_on": commission.promise_on,
        },
        "currency": currency_of(commission),
        "sizes": sizes_of_shop(),
        "tax_name": tax_name(),
    }
