"""Every paper against PDF/A-3a and PDF/UA-1; the data inside against schema and rules of EN 16931."""

import json
import re
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from weasyprint import HTML

from jobs.documents.drawings import drawings_pdf
from jobs.documents.kit.einvoice import cii, data_of
from jobs.documents.render import render
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.prices import Line, set_price
from jobs.domain.billing.statements import issue_receipt, issue_statement
from jobs.domain.clients.commands import change_client
from jobs.domain.papers.issuing import issue_work_paper
from jobs.domain.papers.kinds import paper_kinds, papers_of_work
from jobs.domain.quoting.acceptance import accept_offer
from jobs.domain.quoting.quotes import draft_change_order, issue_offer
from jobs.domain.workshop.commands import set_shop
from jobs.domain.workshop.logo import set_logo
from jobs.log.private_texts import read
from jobs.models import Paper, Payment, Piece
from tests.documents.reading import reader, words
from tests.documents.samples import an_invoice
from tests.documents.shop import a_shop
from tests.documents.standards import breaches, rules_broken
from tests.documents.test_look import DRAWN, a_png
from tests.documents.test_quote import a_quote
from tests.needs import needs
from tests.shop_fixtures import Work, the_paper

pytestmark = [needs("weasyprint"), pytest.mark.takes(22)]
EXEMPT = "resale certificate 12-3456"


def billable(work: Work) -> str:
    """Make a commission to bill with data: a client abroad, several rates, a return, an exempt line."""
    set_shop(work.call(), country="US", postcode="98101", city="Aldersey")
    piece = work.accepted()
    work.do_until(piece, "stock")
    number = piece.commission.number
    change_client(
        work.call(), client=piece.commission.client_id, name="عمر 🪵 Fenwick", country="DE", exempt=EXEMPT
    )
    six, eight = {"tax_pct": Decimal(6)}, {"tax_pct": Decimal("8.25")}
    lines = [
        Line(description="Top <b>as drawn</b>\nfile:///etc/passwd", unit_price=Decimal(1850), **eight),
        Line(description="Care kit", unit_price=Decimal("12.3456"), quantity=Decimal("2.5"), **six),
        Line(description="Old top taken back", unit_price=Decimal(40), quantity=Decimal(-1), **six),
        Line(description="For resale", unit_price=Decimal(90), tax_category="E"),
        Line(description="Drawing, no tax on it", unit_price=Decimal("0.99"), tax_category="Z"),
    ]  # fmt: skip
    set_price(work.call(), commission=number, lines=lines)
    record_payment(work.call(), commission=number, amount=Decimal("500.50"), what="deposit")
    return number


def all_papers(work: Work) -> dict[str, Paper]:
    number = billable(work)
    invoice = the_paper(issue_invoice(work.call(), commission=number))
    receipt = the_paper(issue_receipt(work.call(), payment=Payment.objects.get().id))
    credit = the_paper(credit_invoice(work.call(), paper=invoice.number, reason="the second coat was free"))
    statement = the_paper(issue_statement(work.call(), client=invoice.commission.client_id))
    of_work = [
        the_paper(issue_work_paper(work.call(), kind=kind.key, commission=number))
        for kind in papers_of_work()
    ]
    made = (invoice, receipt, credit, statement, *of_work)
    return {paper.kind: paper for paper in made}


def offered(work: Work) -> dict[str, Paper]:
    quote = a_quote(work, 3, client="עומר 🪵 Fenwick", words="A top as we talked it over")
    number = quote.commission.number
    accept_offer(work.call(), offer=f"{number}-Q1", version=1)
    bevel = Line(description="Bevel all round", unit_price=Decimal(100), tax_pct=Decimal("8.25"))
    draft_change_order(work.call(), commission=number, words="A bevel as drawn", lines=[bevel])
    issue_offer(work.call(), offer=f"{number}-X1")
    change = Paper.objects.get(kind=Paper.CHANGE)
    deposit = Paper.objects.get(what="deposit", commission=quote.commission)
    return {"quote": quote, "change-order": change, "deposit": deposit}


@needs("verapdf")
@pytest.mark.django_db
@pytest.mark.parametrize("sizes", [1, pytest.param(2, marks=pytest.mark.long)])
def test_every_paper_follows_pdf_a_and_pdf_ua_and_a_bad_file_does_not(tmp_path: Path, sizes: int):
    """The usual run prints every second kind on letter, the others on A4; the long one all on both."""
    work, files = a_shop(paper_color="#1c3a5a"), {}
    set_logo(work.call(), logo=DRAWN)
    papers = all_papers(work)
    set_logo(work.call(), logo=a_png())
    papers |= offered(work)
    assert {paper.kind for paper in papers.values()} == {kind.key for kind in paper_kinds()}
    for n, (kind, paper) in enumerate(papers.items()):
        for size in ("letter", "A4", "letter")[n % 2 :][:sizes]:
            paper.size = size
            files[f"{kind}-{size}"] = render(paper)
    drawings = drawings_pdf(Piece.objects.order_by("number"), today=work.now.date())
    assert drawings
    files["drawings"] = drawings
    files["bad"] = HTML(string="<p>plain").write_pdf()
    told = breaches(tmp_path, files)
    bad = {standard: told.pop(("bad", standard)) for standard in ("3a", "ua1")}
    assert told == {(name, standard): "" for name in files if name != "bad" for standard in ("3a", "ua1")}
    assert all(bad.values())


def inside(pdf: bytes) -> bytes:
    """Return the data in a PDF as a reader finds it: one file, which the catalogue calls an alternative."""
    root = reader(pdf).trailer["/Root"]
    (file,) = (each.get_object() for each in root["/AF"])
    assert (file["/F"], file["/AFRelationship"]) == ("factur-x.xml", "/Alternative")
    return bytes(file["/EF"]["/F"].get_object().get_data())


def value(xml: bytes, name: str) -> str:
    found = re.search(rf"<ram:{name}(?: [^>]*)?>([^<]*)<", xml.decode())
    assert found, name
    return found[1]


@pytest.mark.django_db
def test_the_data_says_what_the_page_says_and_breaks_no_rule():
    papers = all_papers(a_shop())
    for kind, type_code in (("invoice", "380"), ("credit-note", "381")):
        paper = papers[kind]
        pdf = render(paper)
        xml = inside(pdf)
        assert rules_broken(xml) == []
        sums = paper.invoice
        assert value(xml, "TypeCode") == type_code and paper.number.encode() in xml
        assert value(xml, "GrandTotalAmount") == str(sums.total)
        assert value(xml, "TaxTotalAmount") == str(sums.tax)
        assert f"{sums.total:,}" in words(pdf)
        assert "عمر 🪵 Fenwick" in xml.decode() and "&lt;b&gt;as drawn" in xml.decode()
        assert EXEMPT in xml.decode() and EXEMPT in words(pdf)
        metadata = reader(pdf).trailer["/Root"]["/Metadata"].get_data()
        assert metadata.count(b"<rdf:RDF") == 1 and b"<pdfuaid:part>1<" in metadata
        assert b"<fx:ConformanceLevel>EN 16931<" in metadata
    assert value(inside(render(papers["invoice"])), "DuePayableAmount") == str(papers["invoice"].invoice.due)
    assert b"I2026-0001" in inside(render(papers["credit-note"])), "the invoice that it takes back"
    assert "/AF" not in reader(render(papers["receipt"])).trailer["/Root"]


@pytest.mark.django_db
def test_the_same_frozen_data_gives_the_same_bytes_with_data_inside():
    paper = all_papers(a_shop())["invoice"]
    assert render(paper) == render(paper)


@pytest.mark.django_db
def test_without_what_the_standard_asks_for_there_is_no_data_and_it_says_so():
    work = a_shop()
    number = billable(work)
    set_shop(work.call(), country="")
    done = issue_invoice(work.call(), commission=number)
    assert any("the shop's country" in notice for notice in done.notices)
    paper = the_paper(done)
    assert data_of(json.loads(read(paper.frozen_ref))) is None
    assert "/AF" not in reader(render(paper)).trailer["/Root"]


@pytest.mark.parametrize(
    "change, rule",
    [
        ({}, ""),
        ({"what": "deposit"}, ""),
        ({"shop": {"tax_id": "US 88121-X", "payment": "", "terms": ""}}, ""),
        ({"client": {"tax_id": "DE123456789", "country": "DE", "address": "a\nb\nc\nd"}}, ""),
        ({"paid_before": "1200.00", "due": "-100.00"}, ""),
        ({"due": "1100.01"}, "BR-CO-16"),
        ({"tax": "99.99"}, "BR-CO-14"),
        ({"client": {"country": "XX"}}, "'ram:CountryID' is not allowed"),
    ],
)
def test_the_official_rules_see_what_is_wrong_and_only_that(change: dict[str, Any], rule: str):
    frozen = an_invoice()
    for name, given in change.items():
        frozen[name] = {**frozen[name], **given} if isinstance(given, dict) else given
    broken = " ".join(rules_broken(cii(frozen)))
    assert rule in broken if rule else broken == ""


@pytest.mark.parametrize("category, exempt", [("S", ""), ("Z", ""), ("E", EXEMPT), ("O", "")])
def test_nothing_taxed_follows_the_rules_of_its_category(category: str, exempt: str):
    frozen = an_invoice(
        {"tax_category": category, "tax_pct": "0"}, tax="0.00", total="1000.00", due="1000.00"
    )
    frozen["totals"] = [{"category": category, "rate_pct": "0", "taxable": "1000.00", "tax": "0.00"}]
    frozen["client"] = {**frozen["client"], "exempt": exempt}
    assert rules_broken(cii(frozen)) == []
