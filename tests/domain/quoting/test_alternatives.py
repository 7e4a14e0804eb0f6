"""A chosen alternative replaces the line of its piece."""

from dataclasses import replace
from decimal import Decimal as D
from typing import Any

import pytest

from jobs.domain.billing.prices import Line
from jobs.domain.overviews.commission import commission_view
from jobs.domain.quoting.acceptance import accept_offer
from jobs.domain.quoting.alternatives import Chosen, with_chosen
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.queries import offer_view
from jobs.domain.quoting.quotes import draft_quote, issue_offer
from jobs.domain.workshop.commands import set_shop
from jobs.models import Commission, Offer
from tests.shop_fixtures import Work, a_client, a_commission, a_piece

LABELS = {"2026-001-1": "Desk top", "2026-001-2": "Shelf", "2026-001-3": "Shelf"}
TOP = Line(description="Desk top\n60 x 30 in, white oak", unit_price=D(2000), tax_pct=D(19))
SHELF = Line(description="Shelf (2 pieces)\nwhite oak", unit_price=D(100), quantity=D(3), tax_pct=D(19))


def walnut(piece: str, difference: str, **more: Any) -> Chosen:
    label = LABELS[piece]
    given = {"tax_category": "S", "tax_pct": D(19), "description": f"{label}: in black walnut", **more}
    return Chosen(piece=piece, difference=D(difference), **given)


def test_the_line_that_begins_with_the_label_takes_words_and_difference():
    [top, shelf] = with_chosen([TOP, SHELF], [walnut("2026-001-1", "420")], LABELS)
    assert top.description == "Desk top\n60 x 30 in, white oak\nChosen: in black walnut"
    assert (top.unit_price, shelf) == (D(2420), SHELF)


def test_two_of_one_label_are_told_apart_by_their_order():
    other = Line(description="Shelf, wide", unit_price=D(90), tax_pct=D(19))
    lines = with_chosen([TOP, SHELF, other], [walnut("2026-001-3", "-10")], LABELS)
    assert [line.unit_price for line in lines] == [D(2000), D(100), D(80)]


def test_a_difference_is_shared_by_all_that_the_line_counts():
    # 30 more on three at 100 is 110 each, by hand
    [_, shelf, _] = with_chosen([TOP, SHELF, a_shelf()], [walnut("2026-001-2", "30")], LABELS)
    assert (shelf.quantity, shelf.unit_price) == (D(3), D(110))


def a_shelf() -> Line:
    return Line(description="Shelf", unit_price=D(90), tax_pct=D(19))


@pytest.mark.parametrize(
    "lines, one",
    [
        ([Line(description="A", unit_price=D(1)), Line(description="B", unit_price=D(1))], {}),
        ([TOP], {"tax_pct": D(7)}),
        ([TOP], {"difference": "-2000.01"}),
        ([Line(description="x" * 4000, unit_price=D(1), tax_pct=D(19))], {}),
        ([replace(TOP, quantity=D(700))], {"difference": "0.01"}),
    ],
)
def test_where_no_line_can_take_it_the_difference_stands_below(lines: list[Line], one: dict[str, Any]):
    chosen = walnut("2026-001-1", one.pop("difference", "5"), **one)
    found = with_chosen(lines, [chosen], LABELS)
    assert found[:-1] == lines
    assert found[-1].description == "Desk top: in black walnut"
    assert found[-1].quantity * found[-1].unit_price == chosen.difference


@pytest.mark.django_db
def test_an_accepted_quote_bills_the_piece_once(work: Work):
    rates = {
        "hourly_rate": "60", "lumber_prices": {"white oak": "8", "black walnut": "14.50"}, "tax_pct": "19",
    }  # fmt: skip
    set_shop(work.call(), settings=rates)
    piece = a_piece(work.call(), a_commission(work.call(), a_client(work.call())), species="white oak")
    number = piece.commission.number
    draft_quote(
        work.call(), commission=number, hours={piece.number: D(20)},
        alternatives=[Alternative(piece=piece.number, species="black walnut")],
    )  # fmt: skip
    issue_offer(work.call(), offer=f"{number}-Q1")
    accept_offer(work.call(), offer=f"{number}-Q1", version=1, chosen=[1])
    offer = Offer.objects.get()
    quoted, alternative = offer.lines.get(), offer.alternatives.get()
    price = commission_view(Commission.objects.get(), now=work.now, with_money=True)["money"]["price"]
    [line] = price["lines"]
    assert line["amount"] == quoted.unit_price + alternative.difference
    assert line["description"].endswith("\nChosen: in black walnut instead of white oak")
    view = offer_view(offer, today=work.now.date())
    assert view["agreed"]["lines"] == price["lines"] and view["agreed"]["total"] == price["total"]
    assert price["total"] == view["total"] + view["alternatives"][0]["with_tax"]
