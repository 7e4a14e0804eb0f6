"""Invoices as bare data against the official rules of EN 16931 and of XRechnung 3.0, in both syntaxes.

The rules are run by another implementation than the one that wrote the files: see ``standards.py``.
"""

import json
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from jobs.core.errors import NotYet
from jobs.documents.kit.einvoice import CORE, SYNTAXES, XRECHNUNG, bare, cii
from jobs.domain.billing.credits import CreditLine, credit_invoice
from jobs.domain.billing.invoice_commands import issue_deposit, issue_invoice
from jobs.domain.billing.invoice_data import gaps
from jobs.domain.billing.prices import Line, set_price
from jobs.domain.clients.commands import change_client
from jobs.domain.workshop.commands import set_shop
from jobs.log.private_texts import read
from jobs.models import Paper, Piece
from tests.documents.standards import rules_broken
from tests.shop_fixtures import Work, an_owner, the_paper

pytestmark = [pytest.mark.django_db, pytest.mark.takes(25)]
IN_GERMANY = {
    "name": "Lindenau Tischplatten", "address": "Mühlgasse 4", "postcode": "10115", "city": "Berlin",
    "country": "DE", "tax_id": "DE136695976", "email": "post@lindenau.example", "person": "Wiebke Lindenau",
    "phone": "+49 30 5550199", "iban": "DE89370400440532013000", "bic": "COBADEFFXXX",
    "account_name": "W. Lindenau", "terms": "Ohne Abzug",
}  # fmt: skip
AN_OFFICE = {
    "address": "Hafenstieg 12\nZimmer 3", "postcode": "20095", "city": "Hamburg", "country": "DE",
    "email": "orla@fenwick.example", "buyer_reference": "991-03730-19", "endpoint": "0204:991-03730-19",
}  # fmt: skip
IN_AUSTRIA = {"postcode": "1010", "city": "Wien", "country": "AT", "tax_id": "ATU13585627", "endpoint": ""}
BY_CATEGORY: dict[str, dict[str, str]] = {
    "S": {}, "Z": {}, "E": {"exempt": "Museum, no. 7"}, "AE": IN_AUSTRIA, "K": IN_AUSTRIA,
    "G": {"postcode": "97031", "city": "Seaside", "country": "US", "endpoint": ""}, "O": {},
}  # fmt: skip
DELIVERED = date(2026, 2, 27)


@pytest.fixture
def work() -> Work:
    return Work(an_owner())


def german(work: Work, client: dict[str, str] | None = None, *, settings: Any = None) -> Piece:
    """Return a piece of a public office, ordered from a German shop."""
    set_shop(work.call(), settings={"currency": "EUR", **(settings or {})}, **IN_GERMANY)
    piece = work.accepted()
    change_client(work.call(), client=piece.commission.client_id, **{**AN_OFFICE, **(client or {})})
    return piece


def price(work: Work, piece: Piece, *lines: Line) -> str:
    number = piece.commission.number
    set_price(work.call(), commission=number, lines=list(lines))
    return number


def taxed(unit_price: str, category: str = "S", pct: str = "19", **more: Any) -> Line:
    rate = Decimal(pct) if category == "S" else Decimal(0)
    return Line(
        description=more.pop("description", "Top as drawn"), unit_price=Decimal(unit_price),
        tax_category=category, tax_pct=rate, **more,
    )  # fmt: skip


def said(paper: Paper) -> dict[str, Any]:
    frozen: dict[str, Any] = json.loads(read(paper.frozen_ref))
    return frozen


def follows_all(frozen: dict[str, Any]) -> None:
    """Check the data in the PDF and both bare files against schema (as written), EN 16931 and XRechnung.

    Before delivery there is no date of supply, which XRechnung only recommends.
    """
    advice = [] if frozen["supplied_on"] else ["[BR-DE-TMP-32]"]
    assert rules_broken(cii(frozen)) == []
    for syntax in SYNTAXES:
        xml = bare(frozen, syntax)
        assert xml.count(XRECHNUNG.encode()) == 1, "it says what it follows"
        core = xml.replace(XRECHNUNG.encode(), CORE.encode())  # the profile of the first rules names no other
        assert rules_broken(core, f"EN 16931, {syntax}") == []
        broken = rules_broken(xml, f"XRechnung, {syntax}")
        assert [told.partition(" ")[0] for told in broken] == advice, broken


@pytest.mark.parametrize("category", BY_CATEGORY)
def test_every_category_of_tax_follows_all_rules_in_both_syntaxes(work: Work, category: str):
    piece = german(work, BY_CATEGORY[category])
    number = price(work, piece, taxed("1000", category))
    done = issue_invoice(work.call(), commission=number, supplied_on=DELIVERED)
    frozen = said(the_paper(done))
    follows_all(frozen)
    for syntax, day in (("UBL", "2026-02-27"), ("CII", "20260227")):
        text = bare(frozen, syntax).decode()
        for term in (day, "DE89370400440532013000", "RF47I20260001", "991-03730-19", "Wiebke Lindenau"):
            assert term in text, term


def test_deposit_final_invoice_and_credit_note_follow_all_rules(work: Work):
    number = price(work, german(work), taxed("1000"), taxed("12.3456", pct="7", quantity=Decimal("2.5")))
    deposit = the_paper(issue_deposit(work.call(), commission=number, pct=Decimal(40)))
    whole = the_paper(issue_invoice(work.call(), commission=number, supplied_on=DELIVERED))
    reason = "the second coat was free"
    some = the_paper(
        credit_invoice(
            work.call(), paper=whole.number, reason=reason, lines=[CreditLine(line=2, quantity=Decimal(1))]
        )
    )
    a_sum = the_paper(
        credit_invoice(work.call(), paper=whole.number, reason=reason, amount=Decimal("100.01"))
    )
    credit = the_paper(credit_invoice(work.call(), paper=whole.number, reason=reason))
    for paper in (deposit, whole, some, a_sum, credit):
        follows_all(said(paper))
    assert deposit.number in bare(said(whole), "UBL").decode(), "the invoice that it takes off"
    assert b"CreditNote" in bare(said(credit), "UBL") and whole.number.encode() in bare(said(credit), "UBL")


def test_forty_lines_follow_all_rules(work: Work):
    units = ("C62", "HUR", "BFT", "LS")
    lines = [
        taxed(f"{n}.{n:02}5", pct="19" if n % 3 else "7", description=f"Line {n}\nas agreed",
              quantity=Decimal(n % 4 + 1) / 2, unit_code=units[n % len(units)])
        for n in range(1, 41)
    ]  # fmt: skip
    number = price(work, german(work), *lines)
    follows_all(said(the_paper(issue_invoice(work.call(), commission=number, supplied_on=DELIVERED))))


def test_prices_with_their_tax_inside_follow_all_rules(work: Work):
    piece = german(work, settings={"prices_include_tax": "yes"})
    lines = [
        taxed("19.99", quantity=Decimal(3), with_tax=True), taxed("4.99", with_tax=True),
        taxed("0.07", quantity=Decimal(7), with_tax=True), taxed("33.33", pct="7", with_tax=True),
        taxed("9.99", pct="7", quantity=Decimal("2.5"), with_tax=True),
    ]  # fmt: skip
    number = price(work, piece, *lines)
    deposit = the_paper(issue_deposit(work.call(), commission=number, pct=Decimal(33)))
    whole = the_paper(issue_invoice(work.call(), commission=number, supplied_on=DELIVERED))
    # By hand: 59.97 + 4.99 + 0.49 + 33.33 + 24.98 (24.975) = 123.76
    assert deposit.invoice.total + whole.invoice.total == Decimal("123.76")
    for paper in (deposit, whole):
        follows_all(said(paper))


def test_without_what_germany_asks_for_the_file_follows_the_european_rules_alone(work: Work):
    piece = german(work, {"buyer_reference": ""})
    number = price(work, piece, taxed("1000"))
    frozen = said(the_paper(issue_invoice(work.call(), commission=number)))
    for syntax in SYNTAXES:
        xml = bare(frozen, syntax)
        assert XRECHNUNG.encode() not in xml
        assert rules_broken(xml, f"EN 16931, {syntax}") == []
        assert any("BR-DE-15" in broken for broken in rules_broken(xml, f"XRechnung, {syntax}"))


def test_a_shop_in_the_us_has_data_only_once_it_says_who_and_where(work: Work):
    piece = work.accepted()
    number = price(work, piece, taxed("1000", pct="6.25"))
    frozen = said(the_paper(issue_invoice(work.call(), commission=number)))
    assert {gap.field for gap in gaps(frozen)} == {"name", "country", "tax_id"}
    with pytest.raises(NotYet, match="the shop's country"):
        bare(frozen, "UBL")
    head = {"country": "US", "name": "Lindenau Table Works", "tax_id": "TX-88121", "city": "Aldersey"}
    complete = {**frozen, "shop": {**frozen["shop"], **head}, "client": {**frozen["client"], "country": "US"}}
    for syntax in SYNTAXES:
        assert rules_broken(bare(complete, syntax), f"EN 16931, {syntax}") == []
    paid_by_card = {**complete, "pay_by": "card"}
    assert b">48<" in bare(paid_by_card, "CII")
    assert rules_broken(bare(paid_by_card, "UBL"), "EN 16931, UBL") == []


@pytest.mark.parametrize(
    "change, rule",
    [
        ({"shop": {"iban": "DE89370400440532013001"}}, "BR-DE-19"),
        ({"shop": {"phone": "none"}}, "BR-DE-27"),
        ({"due": "1.00"}, "BR-CO-16"),
    ],
)
def test_the_rules_see_what_is_wrong(work: Work, change: dict[str, Any], rule: str):
    frozen = said(the_paper(issue_invoice(work.call(), commission=price(work, german(work), taxed("1000")))))
    for name, given in change.items():
        frozen[name] = {**frozen[name], **given} if isinstance(given, dict) else given
    for syntax in SYNTAXES:
        xml = bare(frozen, syntax)
        core = xml.replace(XRECHNUNG.encode(), CORE.encode())
        both = rules_broken(xml, f"XRechnung, {syntax}") + rules_broken(core, f"EN 16931, {syntax}")
        assert rule in " ".join(both)
