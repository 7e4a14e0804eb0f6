"""The business terms of an invoice or credit note, by the rules of EN 16931.

Keys are those of the standard (BT, BG). The figures are the frozen ones that the page shows. Only the bases
of one category are added up here.
"""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from jobs.documents.kit.layout import Frozen
from jobs.documents.kit.wording import UNPRINTABLE
from jobs.domain.billing.paying import CARD, means_of, reference_of
from jobs.domain.billing.taxes import is_vat_number
from jobs.domain.papers.electronic_addresses import read_endpoint
from jobs.models import Paper

TYPES = {"invoice": "380", "credit": "381", "deposit": "386"}
"""UNTDID 1001: commercial invoice, credit note, prepayment invoice."""
PARTIAL = "326"
"""UNTDID 1001, partial invoice: XRechnung knows no prepayment invoice (BR-DE-17)."""
PROCESS = "urn:fdc:peppol.eu:2017:poacc:billing:01:1.0"
"""BT-23, which XRechnung asks for."""
UNDEFINED = "1"
"""UNTDID 4461, instrument not defined: German rules take a card only with its number (BR-DE-24)."""
OUTSIDE = "outside the scope of tax"


def terms(frozen: Frozen, *, german: bool = False) -> dict[str, Any]:
    """Return the terms of a paper; ``german`` ones follow XRechnung too."""
    is_credit = frozen["kind"] == Paper.CREDIT
    shop, client = frozen["shop"], frozen["client"]
    notes = [shop["payment"]] if shop["payment"] and not is_credit else []
    outside = any(line["tax_category"] == "O" for line in frozen["lines"])
    before = [frozen["credits"]] if is_credit else [d["paper"] for d in frozen.get("deposits", [])]
    kind = "credit" if is_credit else frozen.get("what") or "invoice"
    supplied = frozen.get("supplied_on")
    return {
        "BT-1": frozen["number"],
        "BT-2": date.fromisoformat(frozen["issued_on"]),
        "BT-3": PARTIAL if german and kind == Paper.DEPOSIT else TYPES[kind],
        "BT-5": frozen["currency"],
        **({"BT-10": _text(client["buyer_reference"])} if client.get("buyer_reference") else {}),
        "BT-14": frozen["commission"]["number"],
        **({"BT-23": PROCESS} if german else {}),
        "BG-1": [{"BT-22": _text(note)} for note in notes],
        "BG-3": [{"BT-25": number} for number in before],
        "BG-4": _seller(shop, outside=outside),
        "BG-7": _buyer(client, outside=outside),
        "BG-13": _address(client),
        **({"BT-72": date.fromisoformat(supplied)} if supplied else {}),
        **_means(frozen, german=german),
        **_due(frozen, is_credit=is_credit),
        "BG-23": _taxes(frozen, german=german),
        "BG-25": [_line(n, line) for n, line in enumerate(frozen["lines"], 1)],
        "BT-106": _cents(frozen["net"]),
        "BT-109": _cents(frozen["net"]),
        "BT-110": _cents(frozen["tax"]),
        "BT-112": _cents(frozen["total"]),
    }


def _means(frozen: Frozen, *, german: bool) -> dict[str, Any]:
    """Return how to pay (BG-16), and what a transfer names (BT-83)."""
    means = means_of(frozen)
    if means is None:
        return {}
    found = {"BT-81": UNDEFINED if german and means.code == CARD else means.code, "BT-82": means.name}
    if means.iban:
        found |= {"BT-84": means.iban, "BT-85": means.account_name}
    if means.iban and means.bic:
        found["BT-86"] = means.bic
    return {**found, "BT-83": reference_of(frozen)}


def _due(frozen: Frozen, *, is_credit: bool) -> dict[str, Any]:
    """Return what is to be paid and when; a credit note names its invoice instead."""
    if is_credit:
        said = f"Set against invoice {frozen['credits']}. {frozen['reason']}"
        return {"BT-20": _text(said), "BT-115": _cents(frozen["total"])}
    return {
        "BT-9": date.fromisoformat(frozen["due_on"]),
        **({"BT-20": _text(frozen["shop"]["terms"])} if frozen["shop"]["terms"] else {}),
        "BT-113": _cents(frozen["paid_before"]),
        "BT-115": _cents(frozen["due"]),
    }


def _seller(shop: Mapping[str, str], *, outside: bool) -> dict[str, Any]:
    """Return the seller; outside tax without a tax number (BR-O-02), the number only identifies them."""
    answers = {"name": shop.get("person"), "phone": shop.get("phone"), "email": shop.get("email")}
    return {
        **_address(shop),
        **_endpoint(shop),
        "identifiers": {None: _text(shop["tax_id"])},
        **({} if outside else _tax_number(shop["tax_id"], shop["country"])),
        **(
            {"contacts": [{name: _text(text) for name, text in answers.items() if text}]}
            if answers["name"]
            else {}
        ),
    }


def _buyer(client: Mapping[str, str], *, outside: bool) -> dict[str, Any]:
    number = client.get("tax_id", "")
    found = {} if outside or not number else _tax_number(number, client["country"])
    is_vat = {k: v for k, v in found.items() if k == "vat_identifier"}
    return {**_address(client), **_endpoint(client), **is_vat}


def _endpoint(party: Mapping[str, str]) -> dict[str, str]:
    """Return the electronic address of a party (BT-34, BT-49): its own, else its e-mail."""
    found = read_endpoint(party.get("endpoint") or party.get("email") or "", field="endpoint")
    return {"einvoicing_addr": found.address, "einvoicing_addr_schemeid": found.scheme} if found else {}


def _tax_number(number: str, country: str) -> dict[str, str]:
    """Return a number with its country as one for VAT (BR-CO-09), any other as a local one."""
    if is_vat_number(number, country):
        return {"vat_identifier": "".join(number.split()).upper()}
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


def _taxes(frozen: Frozen, *, german: bool) -> list[dict[str, Any]]:
    """Return a group for each category and rate; standard tax at 0 % is the zero rate (BR-S-05).

    Outside tax there is no rate (BR-48), but XRechnung asks for one (BR-DE-14).
    """
    found: dict[tuple[str, str], list[Decimal]] = {}
    why: dict[str, dict[str, str]] = {}
    for tax in frozen["totals"]:
        category = _category(tax["category"], tax["rate_pct"])
        sums = found.setdefault((category, _number(tax["rate_pct"])), [Decimal(0), Decimal(0)])
        sums[0] += Decimal(tax["taxable"])
        sums[1] += Decimal(tax["tax"])
        why[category] = _why(tax, frozen)
    return [
        {
            "BT-116": _cents(base),
            "BT-117": _cents(tax),
            "BT-118": category,
            **({} if category == "O" and not german else {"BT-119": rate}),
            **(why[category] if category not in ("S", "Z") else {}),
        }
        for (category, rate), (base, tax) in found.items()
    ]


def _why(tax: Frozen, frozen: Frozen) -> dict[str, str]:
    """Return why no tax is charged, in words and as a code; older papers hold the client's reason alone."""
    older = {"E": frozen["client"].get("exempt", ""), "O": OUTSIDE}.get(tax["category"], "")
    told = {"BT-120": _text(tax.get("reason") or older), "BT-121": tax.get("reason_code", "")}
    return {term: text for term, text in told.items() if text}


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
