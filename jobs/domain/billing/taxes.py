"""Tax of a line: its category in words, why none is charged, what that needs; base and tax by rate.

Categories are those of UNCL5305, codes of reasons those of the list VATEX, as in the validation artefacts
of EN 16931 v1.3.16 (BR-AE, BR-IC, BR-G, BR-O, BR-E, BR-CL-22). Articles are those of Directive 2006/112/EC.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils.dateformat import format as format_date

from calcs.money.invoice import Sums
from jobs.core.countries import COUNTRIES
from jobs.core.errors import NotYet
from jobs.domain.billing.invoice_data import Gap
from jobs.domain.settings import VAT
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Client, Invoice

ZERO = Decimal("0.00")
Rate = tuple[str, Decimal]
"""Tax category and rate [%]."""
TAX_CATEGORIES = {
    "S": "taxed", "Z": "zero rate", "E": "exempt", "AE": "reverse charge",
    "K": "goods to a business in another EU country", "G": "export out of the EU", "O": "outside tax",
}  # fmt: skip
"""Categories as a maker chooses them."""
ON_PAPER = {**TAX_CATEGORIES, "K": "EU supply", "G": "export"}
"""Categories in the narrow column of a paper."""
OF_SALES = ("S", "Z", "E", "O")
"""Categories of a shop that charges sales tax; the others belong to VAT."""
EU = frozenset(
    (
        "AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT", "LT",
        "LU", "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK",
    )
)  # fmt: skip
"""Member states of the European Union, by ISO 3166-1."""
PREFIXES = {"GR": "EL"}
"""Prefix of a VAT number where it is not the country's code (BR-CO-09)."""
_CODES = {"AE": "VATEX-EU-AE", "K": "VATEX-EU-IC", "G": "VATEX-EU-G", "O": "VATEX-EU-O"}
_REASONS = {
    "AE": "Reverse charge: the recipient accounts for VAT",
    "K": "VAT exempt intra-Community supply, Article 138 of Directive 2006/112/EC",
    "G": "Export outside the EU, VAT exempt by Article 146 of Directive 2006/112/EC",
}


def offered(tax_name: str) -> dict[str, str]:
    """Return the categories that a shop with this tax chooses from, with their words."""
    return TAX_CATEGORIES if tax_name == VAT else {key: TAX_CATEGORIES[key] for key in OF_SALES}


def totals_of(sums: Sums | None) -> list[dict[str, Any]]:
    """Return the tax of each category and rate."""
    return [
        {"category": t.category, "rate_pct": t.rate_pct, "taxable": t.base, "tax": t.tax}
        for t in (sums.taxes if sums else ())
    ]


def reasoned(totals: Sequence[Mapping[str, Any]], head: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return totals with the reason, and its code, where no tax is charged.

    ``head`` is the head of the paper (`letterhead.heading`).
    """
    return [
        {
            **tax,
            "reason": reason_of(tax["category"], head),
            "reason_code": code_of(tax["category"], head["tax_name"]),
        }
        for tax in totals
    ]


def reason_of(category: str, head: Mapping[str, Any]) -> str:
    """Return why no tax is charged (BT-120); empty where it is, and at the zero rate (BR-Z-10)."""
    if category == "E":
        return certificate_words(head["client"]) or str(head["shop"].get("exempt_reason") or "")
    if category == "O":
        return f"Outside the scope of {head['tax_name']}"
    return _REASONS.get(category, "")


CERTIFICATE = ("name", "exempt", "exempt_state", "exempt_from", "exempt_until")


def certificate_of(client: Client) -> dict[str, str]:
    """Return the name of a client and their certificate; nothing where there is none."""
    texts = Texts(refs_of([client])) if client.exempt_ref else None
    return {name: texts[getattr(client, f"{name}_ref")] for name in CERTIFICATE} if texts else {}


def certificate_words(client: Mapping[str, Any]) -> str:
    """Return why a client is exempt: the certificate, its state and its last day."""
    if not client.get("exempt"):
        return ""
    until = client.get("exempt_until")
    last = f"valid until {_day_words(until)}" if until else ""
    return ", ".join(filter(None, (client["exempt"].strip(), client.get("exempt_state"), last)))


def _day_words(day: str) -> str:
    return format_date(date.fromisoformat(day), "j F Y")


def exempt_on(client: Mapping[str, Any], day: date) -> bool:
    """Return whether a client's certificate or other reason holds on a day."""
    first, last = client.get("exempt_from") or "", client.get("exempt_until") or ""
    return bool(client.get("exempt")) and first <= day.isoformat() and not (last and day.isoformat() > last)


def certificate_trouble(client: Mapping[str, Any], lines: Sequence[str], day: date, tax_name: str) -> str:
    """Return a warning where the certificate of a client does not hold on a day; else nothing.

    ``lines`` are the tax categories of what is priced.
    """
    if not client.get("exempt") or exempt_on(client, day) or not {"S", "E"} & set(lines):
        return ""
    first, last = client.get("exempt_from") or "", client.get("exempt_until") or ""
    ran_out = bool(last) and day.isoformat() > last
    when = f"ran out on {_day_words(last)}" if ran_out else f"holds from {_day_words(first)}"
    charged = f"no {tax_name} is charged on its exempt lines" if "E" in lines else f"{tax_name} is charged"
    first_line = client["exempt"].strip().splitlines()[0]
    return f"the certificate of {client['name']}, {first_line}, {when}: {charged}"


def trouble_at_issue(head: Mapping[str, Any], lines: Sequence[Mapping[str, Any]], day: date) -> str:
    """Return a warning about the client's certificate for a paper issued on a day."""
    categories = [str(line["tax_category"]) for line in lines]
    return certificate_trouble(head["client"], categories, day, str(head["tax_name"]))


def code_of(category: str, tax_name: str) -> str:
    """Return the code of the reason (BT-121) where VAT has one."""
    return _CODES.get(category, "") if tax_name == VAT else ""


def is_vat_number(number: str, country: str) -> bool:
    """Return whether a tax number begins with the prefix of its country, as a VAT number does (BR-CO-09)."""
    plain, prefix = "".join(number.split()).upper(), PREFIXES.get(country, country)
    return bool(country) and len(plain) > len(prefix) + 1 and plain.startswith(prefix)


SHOP, CLIENT = "shop", "client"


def refuse_lacking(head: Mapping[str, Any], lines: Sequence[Mapping[str, Any]]) -> None:
    """Refuse lines without tax on a paper that lacks what their category needs; name it and its place."""
    for gap in lacking(head, [str(line["tax_category"]) for line in lines]):
        page = "under Shop, Name and address" if gap.owner == SHOP else "at the client, Address and tax"
        raise NotYet(gap.what, field=gap.field, value="", allowed=f"set it {page}")


def lacking(head: Mapping[str, Any], categories: Iterable[str]) -> list[Gap]:
    """Return what these categories need before a paper may name them."""
    needs = _needs(set(categories), head)
    return [Gap(what=says, owner=owner, field=field) for held, field, says, owner in needs if not held]


def _needs(found: set[str], head: Mapping[str, Any]) -> list[tuple[bool, str, str, str]]:
    """Return each condition of these categories, its field, its refusal, and whose field it is."""
    shop, client = head["shop"], head["client"]
    seller, buyer = shop["country"], client["country"]
    ours, theirs = is_vat_number(shop["tax_id"], seller), is_vat_number(client["tax_id"], buyer)
    other_state = buyer in EU and buyer != seller
    named = f", {COUNTRIES[buyer]} is not" if buyer in COUNTRIES else ""
    needs: list[tuple[bool, str, str, str]] = []
    if "AE" in found:  # BR-AE-02
        needs += [
            (bool(shop["tax_id"]), "tax_id", "reverse charge needs the shop's VAT number", SHOP),
            (bool(client["tax_id"]), "tax_id", "reverse charge needs the client's VAT number", CLIENT),
        ]
    if "K" in found:  # BR-IC-02, BR-IC-12; Article 138
        says = "a supply to another EU country needs"
        needs += [
            (seller in EU, "country", f"{says} a shop in an EU country", SHOP),
            (ours, "tax_id", f"{says} the shop's VAT number with its country", SHOP),
            (other_state, "country", f"{says} a client in another EU country{named}", CLIENT),
            (theirs, "tax_id", f"{says} the client's VAT number with its country", CLIENT),
        ]
    if "G" in found:  # BR-G-02
        needs += [
            (bool(buyer), "country", "an export needs the client's country", CLIENT),
            (ours, "tax_id", "an export needs the shop's VAT number with its country", SHOP),
        ]
    return needs


@dataclass(frozen=True, kw_only=True)
class Part:
    """A part of a price at one tax rate: base and tax [currency]."""

    base: Decimal
    tax: Decimal

    @property
    def gross(self) -> Decimal:
        return self.base + self.tax


NOTHING = Part(base=ZERO, tax=ZERO)
Parts = dict[Rate, Part]


def parts_of(document: Invoice) -> Parts:
    """Return base and tax of an invoice or a credit note by rate."""
    return {
        (tax["category"], Decimal(tax["rate_pct"])): Part(
            base=Decimal(tax["taxable"]), tax=Decimal(tax["tax"])
        )
        for tax in document.totals
    }


def less(parts: Mapping[Rate, Part], *others: Mapping[Rate, Part]) -> Parts:
    """Return parts less others; a rate that only the others have becomes negative."""
    left = dict(parts)
    for other in others:
        for rate, part in other.items():
            before = left.get(rate, NOTHING)
            left[rate] = Part(base=before.base - part.base, tax=before.tax - part.tax)
    return left


def plus(parts: Mapping[Rate, Part], *others: Mapping[Rate, Part]) -> Parts:
    """Return parts and others together."""
    none: Parts = {}
    return less(parts, *(less(none, other) for other in others))


def gross_of(parts: Mapping[Rate, Part]) -> Decimal:
    return sum((part.gross for part in parts.values()), ZERO)
