"""Prices typed with their tax: what was typed is what is paid, to the cent, on every paper."""

import json
from decimal import Decimal as D
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from calcs.money.invoice import line_net
from calcs.money.tax_inside import nets_inside, tax_inside
from jobs.core.errors import Invalid
from jobs.domain.billing.invoice_commands import issue_deposit, issue_invoice
from jobs.domain.billing.prices import Line, price_of, set_price, usual_tax, views_of
from jobs.domain.overviews.commission import commission_view
from jobs.domain.quoting.acceptance import accept_offer
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.queries import offer_view
from jobs.domain.quoting.quotes import draft_change_order, draft_quote, issue_offer
from jobs.domain.workshop.commands import set_shop
from jobs.log.private_texts import read
from jobs.models import Commission, Offer, Paper, Piece
from tests.shop_fixtures import Work, a_client, a_commission, a_piece

ZERO = D("0.00")
CENTS = st.decimals(min_value=D("0.01"), max_value=D("9999.99"), places=2)
LINES = st.lists(
    st.builds(
        Line,
        description=st.just("Top"),
        unit_price=CENTS,
        quantity=st.sampled_from(["1", "2", "2.5", "7", "-1", "0.333"]).map(D),
        tax_pct=st.sampled_from(["0", "5.5", "7", "8.875", "19", "20", "25"]).map(D),
        with_tax=st.just(True),
    ),
    min_size=1,
    max_size=12,
)


# The first three: HM Revenue & Customs, VAT rates and fractions, 3/23 at 15 %, 7/47 at 17.5 %, 1/6 at 20 %,
# as quoted by accountingservicesforbusiness.co.uk, read. The others by hand: 30 x 19 / 119 = 4.7899.
@pytest.mark.parametrize(
    ("gross", "rate", "tax"),
    [("115.00", "15", "15.00"), ("117.50", "17.5", "17.50"), ("120.00", "20", "20.00"),
     ("30.00", "19", "4.79"), ("-120.00", "20", "-20.00"), ("0.03", "20", "0.01"), ("10.00", "0", "0.00")],
)  # fmt: skip
def test_the_tax_in_a_price(gross: str, rate: str, tax: str):
    assert tax_inside(gross=D(gross), rate_pct=D(rate)) == D(tax)


@given(
    st.lists(st.decimals(-9999, 9999, places=2), min_size=1, max_size=40), st.sampled_from([5, 19, 20, 25])
)
def test_net_amounts_add_up_to_the_base_and_are_within_a_cent_of_their_share(grosses, rate):
    total = sum(grosses, ZERO)
    base = total - tax_inside(gross=total, rate_pct=D(rate))
    nets = nets_inside(grosses, rate_pct=D(rate), base=base)
    assert sum(nets, ZERO) == base
    for gross, net in zip(grosses, nets, strict=True):
        assert abs(net - gross * 100 / (100 + D(rate))) < D("0.01")


@given(LINES, LINES)
@settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
def test_the_total_is_what_was_typed(lines: list[Line], more: list[Line]):
    """BR-CO-10, BR-S-08, BR-CO-13 to BR-CO-15 hold; BR-CO-17 to the cent that its check allows."""
    price, change, both = price_of(lines), price_of(more, after=lines), price_of([*lines, *more])
    for one, typed in ((price, lines), (change, more), (both, [*lines, *more])):
        sums = one.sums
        assert sums.gross == sum(
            (line_net(quantity=x.quantity, unit_price=x.unit_price) for x in typed), ZERO
        )
        assert sum(one.amounts, ZERO) == sums.net == sum((tax.base for tax in sums.taxes), ZERO)
        assert sums.net + sums.tax == sums.gross
        for tax in sums.taxes:
            assert abs(tax.tax - tax.base * tax.rate_pct / 100) <= D("0.02")
        if typed is not more:
            for view in views_of(typed, one):
                net = line_net(quantity=view["quantity"], unit_price=view["unit_price"])
                assert net == view["amount"]
    assert price.sums.tax + change.sums.tax == both.sums.tax


@pytest.fixture
def piece(work: Work) -> Piece:
    set_shop(
        work.call(), country="DE", settings={"prices_include_tax": "yes", "tax_pct": "19", "currency": "EUR"}
    )
    return a_piece(work.call(), a_commission(work.call(), a_client(work.call())), species="white oak")


def a_line(price: str, quantity: str = "1", *, rate: str = "19") -> Line:
    return Line(description="Top", unit_price=D(price), quantity=D(quantity), tax_pct=D(rate), with_tax=True)


def said(paper: Paper) -> dict[str, Any]:
    return json.loads(read(paper.frozen_ref))  # type: ignore[no-any-return]


@pytest.mark.django_db
def test_quote_change_deposit_and_invoice_come_to_the_typed_prices(work: Work, piece: Piece):
    number = piece.commission.number
    option = Alternative(description="Oil it too", difference=D("100.00"))
    lines = [a_line("1999.99"), a_line("33.33", "7"), a_line("49.90", rate="7")]
    draft_quote(work.call(), commission=number, lines=lines, alternatives=[option], deposit_pct=D("33.333"))
    issue_offer(work.call(), offer=f"{number}-Q1")
    view = offer_view(Offer.objects.get(), today=work.now.date())
    assert (view["total"], view["alternatives"][0]["with_tax"]) == (D("2283.20"), D("100.00"))
    accept_offer(work.call(), offer=f"{number}-Q1", version=1, chosen=[1])
    draft_change_order(work.call(), commission=number, words="A bevel", lines=[a_line("0.55", "3")])
    issue_offer(work.call(), offer=f"{number}-X1")
    accept_offer(work.call(), offer=f"{number}-X1", version=1)
    agreed = D("2283.20") + 100 + D("1.65")
    issue_deposit(work.call(), commission=number, pct=D(20))
    issue_invoice(work.call(), commission=number)
    papers = {p.number: said(p) for p in Paper.objects.filter(kind=Paper.INVOICE)}
    assert sum((D(p["total"]) for p in papers.values()), ZERO) == agreed
    for paper in papers.values():
        assert sum((D(line["amount"]) for line in paper["lines"]), ZERO) == D(paper["net"])
        assert D(paper["net"]) + D(paper["tax"]) == D(paper["total"])
        typed = sum((D(line.get("typed_amount") or line["gross"]) for line in paper["lines"]), ZERO)
        assert typed == D(paper["total"])


@pytest.mark.django_db
def test_a_change_of_the_setting_moves_no_old_price(work: Work, piece: Piece):
    number = piece.commission.number
    set_price(work.call(), commission=number, lines=[a_line("1190.00")])
    set_shop(work.call(), settings={"prices_include_tax": "no"})
    found = Commission.objects.get(number=number)
    price = commission_view(found, now=work.now, with_money=True)["money"]["price"]
    assert (price["net"], price["tax"], price["total"]) == (D("1000.00"), D("190.00"), D("1190.00"))
    assert usual_tax(found, work.now.date()).with_tax
    mixed = [a_line("10.00"), Line(description="Delivery", unit_price=D(5), tax_pct=D(19))]
    with pytest.raises(Invalid, match="all with tax") as refused:
        set_price(work.call(), commission=number, lines=mixed)
    assert refused.value.field == "lines/1/with_tax"
