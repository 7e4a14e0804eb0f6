"""An invoice or credit note as UN/CEFACT Cross Industry Invoice, by the rules of EN 16931.

Keys are the business terms of the standard (BT, BG). The figures are the frozen ones that the page shows.
Only the bases of one category are added up here.
"""

from collections.abc import Mapping
from datetime import UTC, date, datetime, time
from decimal import Decimal
from typing import Any

from jobs.documents.kit.layout import Frozen
from jobs.documents.kit.pdf_data import Data
from jobs.documents.kit.wording import UNPRINTABLE
from jobs.domain.billing.invoice_data import gaps
from jobs.models import Paper

TYPES = {"invoice": "380", "credit": "381", "deposit": "386"}
"""UNTDID 1001: commercial invoice, credit note, prepayment invoice."""
OUTSIDE = "outside the scope of tax"
VAT_NUMBER = 4
"""Shortest tax number that can begin with a country code."""


def data_of(frozen: Frozen) -> Data | None:
    """Return the data for the PDF; None for other papers, and where a required term is missing."""
    if frozen["kind"] not in (Paper.INVOICE, Paper.CREDIT) or not frozen["number"] or gaps(frozen):
        return None
    issued = datetime.combine(date.fromisoformat(frozen["issued_on"]), time(), tzinfo=UTC)
    return Data(xml=cii(frozen), at=issued)


def cii(frozen: Frozen) -> bytes:
    """Return the XML, checked against the schema of its profile."""
    from facturx import generate_cii_xml

    xml: bytes = generate_cii_xml(_terms(frozen), level="en16931", check_xsd=True, check_schematron=None)
    return xml


def _terms(frozen: Frozen) -> dict[str, Any]:
    is_credit = frozen["kind"] == Paper.CREDIT
    shop = frozen["shop"]
    notes = [shop["payment"]] if shop["payment"] and not is_credit else []
    outside = any(line["tax_category"] == "O" for line in frozen["lines"])
    before = [frozen["credits"]] if is_credit else [d["paper"] for d in frozen.get("deposits", [])]
    return {
        "BT-1": frozen["number"],
        "BT-2": date.fromisoformat(frozen["issued_on"]),
        "BT-3": TYPES["credit" if is_credit else frozen.get("what", "invoice")],
        "BT-5": frozen["currency"],
        "BT-14": frozen["commission"]["number"],
        "BG-1": [{"BT-22": _text(note)} for note in notes],
        "BG-3": [{"BT-25": number} for number in before],
        "BG-4": _seller(shop, outside=outside),
        "BG-7": _buyer(frozen["client"], outside=outside),
        "BG-13": _address(frozen["client"]),
        **_due(frozen, is_credit=is_credit),
        "BG-23": _taxes(frozen),
        "BG-25": [_line(n, line) for n, line in enumerate(frozen["lines"], 1)],
        "BT-106": _cents(frozen["net"]),
        "BT-109": _cents(frozen["net"]),
        "BT-110": _cents(frozen["tax"]),
        "BT-112": _cents(frozen["total"]),
    }


def _due(frozen: Frozen, *, is_credit: bool) -> dict[str, Any]:
    """Return what is to be paid and when; a credit note names its invoice instead."""
    if is_credit:
        terms = f"Set against invoice {frozen['credits']}. {frozen['reason']}"
        return {"BT-20": _text(terms), "BT-115": _cents(frozen["total"])}
    return {
        "BT-9": date.fromisoformat(frozen["due_on"]),
        **({"BT-20": _text(frozen["shop"]["terms"])} if frozen["shop"]["terms"] else {}),
        "BT-113": _cents(frozen["paid_before"]),
        "BT-115": _cents(frozen["due"]),
    }


def _seller(shop: Mapping[str, str], *, outside: bool) -> dict[str, Any]:
    """Return the seller; outside tax without a tax number (BR-O-02), the number only identifies them."""
    return {
        **_address(shop),
        "identifiers": {None: _text(shop["tax_id"])},
        **({} if outside else _tax_number(shop["tax_id"], shop["country"])),
    }


def _buyer(client: Mapping[str, str], *, outside: bool) -> dict[str, Any]:
    number = client.get("tax_id", "")
    found = {} if outside or not number else _tax_number(number, client["country"])
    return {**_address(client), **{k: v for k, v in found.items() if k == "vat_identifier"}}


def _tax_number(number: str, country: str) -> dict[str, str]:
    """Return a number with its country as one for VAT (BR-CO-09), any other as a local one."""
    plain = "".join(number.split())
    if len(plain) >= VAT_NUMBER and plain.startswith(country):
        return {"vat_identifier": plain}
    return {"tax_identifier": _text(number)}


def _address(party: Mapping[str, str]) -> dict[str, str]:
    lines = [line for line in _text(party["address"]).split("\n") if line.strip()]
    given = {
        "name": _text(party["name"]),
        "addr_l1": lines[0] if lines else "",
        "addr_l2": lines[1] if len(lines) > 1 else "",
        "addr_l3": ", ".join(lines[2:]),
        "city": party.get("city", ""),
        "postcode": party.get("postcode", ""),
        "country_code": party["country"],
    }
    return {name: text for name, text in given.items() if text}


def _line(n: int, line: Frozen) -> dict[str, Any]:
    name, _, more = _text(line["description"]).partition("\n")
    category = _category(line["tax_category"], line["tax_pct"])
    return {
        "BT-126": str(n),
        "BT-153": name,
        **({"BT-154": more.strip()} if more.strip() else {}),
        "BT-129": _number(line["quantity"]),
        "BT-130": line["unit_code"],
        "BT-146": _number(line["unit_price"]),
        "BT-131": _cents(line["amount"]),
        "BT-151": category,
        **({} if category == "O" else {"BT-152": _number(line["tax_pct"])}),
    }


def _taxes(frozen: Frozen) -> list[dict[str, Any]]:
    """Return a group for each category and rate; standard tax at 0 % is the zero rate (BR-S-05)."""
    found: dict[tuple[str, str], list[Decimal]] = {}
    for tax in frozen["totals"]:
        key = _category(tax["category"], tax["rate_pct"]), _number(tax["rate_pct"])
        sums = found.setdefault(key, [Decimal(0), Decimal(0)])
        sums[0] += Decimal(tax["taxable"])
        sums[1] += Decimal(tax["tax"])
    reasons = {"E": _text(frozen["client"].get("exempt", "")), "O": OUTSIDE}
    return [
        {
            "BT-116": _cents(base),
            "BT-117": _cents(tax),
            "BT-118": category,
            **({} if category == "O" else {"BT-119": rate}),
            **({"BT-120": reasons[category]} if category in reasons else {}),
        }
        for (category, rate), (base, tax) in found.items()
    ]


def _category(category: str, rate: str) -> str:
    return "Z" if category == "S" and Decimal(rate) == 0 else category


def _cents(amount: str | Decimal) -> str:
    return f"{Decimal(amount):.2f}"


def _number(value: str | Decimal) -> str:
    text = f"{Decimal(value):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _text(text: str) -> str:
    """Return the text without characters that XML cannot hold."""
    return UNPRINTABLE.sub("", text.replace("\r\n", "\n").replace("\r", "\n")).strip()
