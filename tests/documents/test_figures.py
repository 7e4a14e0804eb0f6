"""Every figure on a paper is the one that pages and API show."""

import math
import re
from datetime import date
from decimal import Decimal

import pytest

from calcs.kit.units import format_length
from jobs.documents.checklist import _allowed
from jobs.documents.kit.sizes import NBSP, Sizes
from jobs.documents.render import draft
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.overviews.commission import commission_view
from jobs.domain.overviews.papers import paper_view
from jobs.models import Commission
from tests.documents.reading import pages, smallest_text, words
from tests.documents.shop import a_shop, file_of, issued_checklist, issued_invoice, priced, rendered
from tests.needs import needs
from tests.shop_fixtures import (
    NOON,
    QUICK,
    Work,
    a_client,
    a_commission,
    a_piece,
    accept_bare,
    quick_sheets,
    the_paper,
)

pytestmark = [pytest.mark.django_db, needs("weasyprint"), pytest.mark.takes(17)]


def money(amount: Decimal) -> str:
    return f"{amount:,.2f} USD".replace("-", "\u2212")  # as the paper prints it, with a true minus


def seen(work: Work, number: str) -> dict:
    return commission_view(Commission.objects.get(number=number), now=work.now, with_money=True)


@pytest.mark.parametrize("size", ["letter", "A4"])
@pytest.mark.parametrize("count, deposits", [(1, 0), (1, 1), (3, 2), (40, 1)])
def test_every_figure_of_an_invoice_is_the_api_s(size: str, count: int, deposits: int):
    work = a_shop(paper_size=size)
    number = priced(work, work.accepted(), count, deposits=deposits)
    paper = issued_invoice(work, number)
    rendered(work)
    text = words(file_of(paper))
    sums = paper_view(paper, with_money=True, today=NOON.date())["invoice"]
    view = seen(work, number)["money"]
    for name in ("net", "tax", "total"):
        assert sums[name] == view["price"][name]
    assert sums["total"] - sums["paid_before"] == sums["due"] == view["summary"]["open"]
    assert f"Before sales tax {money(sums['net'])}" in text
    assert f"Total with sales tax {money(sums['total'])}" in text
    told = "".join(f"2 March 2026, {p['what']}, {p['amount']:,.2f} " for p in view["payments"])
    if told:
        assert f"Paid for this invoice {told}{money(-sums['paid_before'])}" in text
    assert f"To pay {money(sums['due'])}" in text
    for tax in sums["taxes"]:
        assert f"of {Decimal(tax['taxable']):,.2f} {money(Decimal(tax['tax']))}" in text
    for line in view["price"]["lines"]:
        price = f"{line['unit_price']:,.4f}".rstrip("0")
        price = price + "0" * (2 - len(price.partition(".")[2])) if "." in price else price
        rate = "exempt" if line["tax_category"] == "E" else f"{line['tax_pct'].normalize():f} %"
        quantity = f"{line['quantity'].normalize():f}"
        row = f"{line['description']} {quantity} {line['unit']} {price} {rate} {line['amount']:,.2f}"
        assert row in text
    assert f"{sums['due_on'].day} March 2026" in text


def test_who_what_and_how_to_pay_stand_on_the_invoice():
    work = a_shop()
    number = priced(work, work.accepted(), 2)
    paper = issued_invoice(work, number)
    rendered(work)
    text = words(file_of(paper))
    for word in (
        "Lindenau Table Works", "4 Mill Race", "555 0199", "TX-88121", "Account 1029384756", "Orla Fenwick",
        "Fourteen days, thank you kindly", paper.number, number, "Desk by the window", "2 March 2026",
    ):  # fmt: skip
        assert word in text


@pytest.mark.parametrize("size", ["letter", "A4"])
def test_every_figure_of_a_checklist_is_the_api_s(size: str):
    work = a_shop(paper_size=size)
    quick_sheets(work.call())
    piece = work.accepted(**QUICK, quantity=2)
    number = piece.commission.number
    a_piece(
        work.call(), piece.commission, **QUICK, length="120", width="42", thickness="1 3/4", label="Table"
    )
    a_piece(work.call(), piece.commission, route="free-list", label="Four rails", stages=["Rip", "Plane"])
    work.do_until(piece, "final-check")
    paper = issued_checklist(work, number)
    rendered(work)
    text = words(file_of(paper))
    for shown in seen(work, number)["pieces"]:
        assert shown["label"] in text and shown["number"] in text
        if "weight" not in shown["computed"]:
            assert "not yet computed weigh it before lifting" in text
            continue
        sides = [shown["inputs"][f"{side}_len"] for side in ("length", "width", "thickness")]
        lengths = " × ".join(format_length(each, "in").rstrip('"') for each in sides)
        assert f'{lengths}"' in text.replace("\u00a0", " ")
        weight, lifting = (shown["computed"][name]["result"] for name in ("weight", "lifting"))
        for pounds in [weight["each_lb"], *([weight["all_lb"]] if shown["quantity"] > 1 else [])]:
            assert f"{math.ceil(Decimal(pounds))} lb" in text.replace("\u00a0", " ")
        if lifting["people"] is None:
            assert lifting["carry"] in text.lower()
        else:
            assert lifting["carry"].capitalize() in text
            assert f"up to {int(Decimal(lifting['team_limit_lb']))} lb" in text.replace("\u00a0", " ")
        for line in lifting["cautions"]:
            assert line[1:] in text
    assert re.search(r'Out of flat, overall, worst of 2 up to 1/16" 1/32"', text.replace("\u00a0", " "))
    assert "Moisture content, worst of 2 6 to 10 % 7 %" in text.replace("\u00a0", " ")
    assert "not measured" in text and "% humidity, 35 to 55 allowed; room °F" in text
    for box in ("on edge, never flat by the ends", "cold van: 24 h before it is unwrapped"):
        assert box in text
    assert "local codes and licensed practice come first" in text
    assert "Delivered as listed" in text and "Received as listed, looked over in daylight" in text
    assert not re.search(r"\b(mm|kg)\b", text)
    assert "NIOSH" not in text and "Mean of the species" not in text, (
        "how it was figured stays with the bench"
    )


@pytest.mark.parametrize("size", ["letter", "A4"])
def test_the_checklist_of_four_tops_fits_one_page_in_a_size_that_can_be_read(size: str):
    work = a_shop(paper_size=size, paper_units="mm" if size == "A4" else "in")
    address = "12 Harbour Steps\nBuilding C, second floor\nAldersey 48104"
    client = a_client(work.call(), address=address, phone="555 0142")
    commission = a_commission(work.call(), client, promise_on=date(2026, 6, 1))
    big = {"length": "120", "width": "48", "thickness": "1 3/4", "species": "white oak"}
    for label in ("Conference table top", "Sideboard", "Bench by the wall", "Top for the bay window"):
        a_piece(work.call(), commission, **big, label=label, quantity=2)
    accept_bare(work.call(), commission=commission.number)
    pdf = draft(commission=commission.number, kind="delivery-checklist", now=work.now)
    (page,) = pages(pdf)
    assert "1 of 1" in page and page.count("Cart or hoist") == 4 and "Received as listed" in page
    assert smallest_text(pdf) >= 9 - 0.01


def test_a_description_of_forty_lines_is_printed_whole():
    from jobs.domain.billing.prices import Line, set_price

    work = a_shop()
    number = work.accepted().commission.number
    told = [f"{n}. what is agreed about the top" for n in range(1, 41)]
    lines = [Line(description="Before", unit_price=Decimal(1))] * 2
    long = Line(description="\n".join(told), unit_price=Decimal(2000))
    set_price(work.call(), commission=number, lines=[*lines, long, *lines])
    paper = issued_invoice(work, number)
    rendered(work)
    pdf = file_of(paper)
    assert [line for line in told if line not in words(pdf)] == []
    assert sum(page.count("2,000.00") for page in pages(pdf)) >= 1


def test_a_credit_note_names_the_invoice_the_reason_and_the_sum_and_asks_for_no_money():
    work = a_shop()
    number = priced(work, work.accepted(), 1)
    first = issued_invoice(work, number)
    note = the_paper(credit_invoice(work.call(), paper=first.number, reason="The second coat is free"))
    rendered(work)
    text = words(file_of(note))
    for said in (note.number, f"invoice {first.number}", "The second coat is free", "Credited"):
        assert said in text
    assert f"{note.invoice.total:,.2f}" in text
    assert "How to pay" not in text and "To pay" not in text


def test_a_limit_is_never_printed_wider_than_it_is():
    """1/32 in is 0.79 mm: in steps of half a millimeter at most 0.5, and at least 1."""
    limit = {"unit": "length", "least": None, "most": "6350"}
    assert _allowed(limit, Sizes(unit="mm")) == f"up to 0.5{NBSP}mm"
    assert _allowed(limit | {"least": "6350", "most": None}, Sizes(unit="mm")) == f"1{NBSP}mm"
