"""A deposit is its share of the price to the cent, and the invoices of an order add up to the price."""

import json
from decimal import Decimal as D
from typing import Any

import pytest
from django.utils.html import strip_tags

from jobs.core.errors import Invalid, NotYet, WrongState
from jobs.documents.quote import quote_html
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.billing.invoice_commands import issue_deposit, issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.prices import Line
from jobs.domain.billing.statements import issue_receipt, issue_statement
from jobs.domain.commissions.commissions import move_commission
from jobs.domain.overviews.commission import commission_view
from jobs.domain.quoting.acceptance import accept_offer
from jobs.domain.quoting.queries import offer_view
from jobs.domain.quoting.quotes import draft_change_order, draft_quote, issue_offer, rewrite_offer
from jobs.log.private_texts import read
from jobs.models import Commission, Offer, Paper, Piece, ReminderDue
from tests.shop_fixtures import Work, a_client, a_commission, a_piece, accept_bare, the_paper

pytestmark = pytest.mark.django_db


@pytest.fixture
def piece(work: Work) -> Piece:
    return a_piece(work.call(), a_commission(work.call(), a_client(work.call())), species="white oak")


def a_line(price: str, rate: str = "19", **more: Any) -> Line:
    return Line(description="Top as drawn", unit_price=D(price), tax_pct=D(rate), **more)


def ordered(work: Work, piece: Piece, *lines: Line, pct: str = "50") -> Offer:
    """Return an accepted quote over these lines."""
    number = piece.commission.number
    draft_quote(work.call(), commission=number, lines=list(lines), deposit_pct=D(pct))
    issue_offer(work.call(), offer=f"{number}-Q1")
    accept_offer(work.call(), offer=f"{number}-Q1", version=1)
    return Offer.objects.get(number=f"{number}-Q1")


def money(work: Work) -> dict[str, Any]:
    view = commission_view(Commission.objects.get(), now=work.now, with_money=True)
    return view["money"]  # type: ignore[no-any-return]


def said(paper: Paper) -> dict[str, Any]:
    return json.loads(read(paper.frozen_ref))  # type: ignore[no-any-return]


# Worked by hand. The base of a deposit is its sum / (1 + rate), rounded; the rest is what the price leaves.
# 4184.87 at 19 %: tax 795.1253 = 795.13, together 4980.00; half is 2490.00, and 2092.44 with its tax of
# 397.56 are 2490.00 (2490 / 1.19 = 2092.4370). The rest is 2092.43 and 397.57, a cent of tax above its rate.
# 4698.11 at 6 %: tax 281.8866 = 281.89, together 4980.00; 2490 / 1.06 = 2349.0566; the rest has 140.95.
# 2475.00 at 8.25 %: tax 204.1875 = 204.19, together 2679.19; half of it is 1339.595 = 1339.60, and that over
# 1.0825 is 1237.5058. 2620.84 at 19 %: tax 497.9596, together 3118.80; 935.64 / 1.19 = 786.2521.
# 0.05 at 19 %: tax 0.0095 = 0.01, together 0.06; half is 0.03, its base 0.0252 = 0.03.
@pytest.mark.parametrize(
    "net, rate, pct, asked, first, rest",
    [
        ("4184.87", "19", "50", "2490.00", ("2092.44", "397.56"), ("2092.43", "397.57")),
        ("4698.11", "6", "50", "2490.00", ("2349.06", "140.94"), ("2349.05", "140.95")),
        ("2475.00", "8.25", "50", "1339.60", ("1237.51", "102.09"), ("1237.49", "102.10")),
        ("2620.84", "19", "30", "935.64", ("786.25", "149.39"), ("1834.59", "348.57")),
        ("0.05", "19", "50", "0.03", ("0.03", "0.00"), ("0.02", "0.01")),
        ("4184.87", "19", "100", "4980.00", ("4184.87", "795.13"), ("0.00", "0.00")),
    ],
)
def test_a_deposit_is_its_share_to_the_cent_wherever_it_is_said(
    work: Work, piece: Piece, net: str, rate: str, pct: str, asked: str,
    first: tuple[str, str], rest: tuple[str, str],
):  # fmt: skip
    offer = ordered(work, piece, a_line(net, rate), pct=pct)
    deposit = Paper.objects.get(what="deposit")
    assert deposit.invoice.total == D(asked)
    assert D(said(offer.paper)["deposit"]) == offer_view(offer, today=work.now.date())["deposit"] == D(asked)
    assert money(work)["deposit_asked"] == D(asked)
    [line] = said(deposit)["lines"]
    assert f"{pct} % of the agreed" in line["description"]
    assert f"{asked} USD" in line["description"].replace(",", "")
    final = the_paper(issue_invoice(work.call(), commission=piece.commission.number)).invoice
    price = money(work)["price"]
    assert (deposit.invoice.net, deposit.invoice.tax) == (D(first[0]), D(first[1]))
    assert (final.net, final.tax, final.total) == (D(rest[0]), D(rest[1]), D(rest[0]) + D(rest[1]))
    assert (price["net"], price["tax"]) == (D(first[0]) + D(rest[0]), D(first[1]) + D(rest[1]))


# 2000 / 1.19 = 1680.6723, so 1680.67 and 319.33; the rest of 4184.87 and 795.13 is 2504.20 and 475.80.
def test_a_deposit_may_be_a_sum_and_says_so(work: Work, piece: Piece):
    number = piece.commission.number
    draft = {"lines": [a_line("4184.87")], "deposit_sum": D(2000)}
    draft_quote(work.call(), commission=number, **draft)
    issue_offer(work.call(), offer=f"{number}-Q1")
    quote = Offer.objects.get()
    assert (quote.deposit_pct, quote.deposit_sum) == (0, 2000)
    text = strip_tags(quote_html(said(quote.paper)))
    assert "2,000.00 USD" in text and "0 %" not in text
    accept_offer(work.call(), offer=quote.number, version=1)
    deposit = Paper.objects.get(what="deposit")
    [line] = said(deposit)["lines"]
    assert line["description"] == "Deposit of the agreed 4,980.00 USD with sales tax: 2,000.00 USD"
    assert (deposit.invoice.net, deposit.invoice.tax) == (D("1680.67"), D("319.33"))
    final = the_paper(issue_invoice(work.call(), commission=number)).invoice
    assert (final.net, final.tax) == (D("2504.20"), D("475.80"))
    assert money(work)["deposit_asked"] == D(2000)


def test_a_sum_takes_the_place_of_a_share_and_is_a_part_of_the_price(work: Work, piece: Piece):
    number = piece.commission.number
    lines = [a_line("1000")]
    draft_quote(work.call(), commission=number, lines=lines, deposit_pct=D(30))
    for asked, allowed in ((D("1190.01"), "0.01 to 1190.00"), (D("0.001"), "two decimals"), (D(0), "0.01")):
        with pytest.raises(Invalid, match="not a part of the price") as refused:
            rewrite_offer(work.call(), offer=f"{number}-Q1", deposit_sum=asked)
        assert refused.value.field == "deposit_sum" and allowed in refused.value.allowed
    with pytest.raises(Invalid, match="not both"):
        rewrite_offer(work.call(), offer=f"{number}-Q1", deposit_sum=D(5), deposit_pct=D(5))
    rewrite_offer(work.call(), offer=f"{number}-Q1", deposit_sum=D(500))
    assert offer_view(Offer.objects.get(), today=work.now.date())["deposit"] == 500
    rewrite_offer(work.call(), offer=f"{number}-Q1", deposit_pct=D(10))
    view = offer_view(Offer.objects.get(), today=work.now.date())
    assert (view["deposit"], view["deposit_sum"]) == (119, None)
    issue_offer(work.call(), offer=f"{number}-Q1")
    accept_offer(work.call(), offer=f"{number}-Q1", version=1)
    with pytest.raises(Invalid, match="come to more than the price") as refused:
        issue_deposit(work.call(), commission=number, amount=D("1071.01"))
    assert refused.value.field == "amount"
    with pytest.raises(Invalid, match="not both"):
        issue_deposit(work.call(), commission=number, amount=D(1), pct=D(1))
    assert the_paper(issue_deposit(work.call(), commission=number, amount=D(71))).invoice.total == 71
    assert the_paper(issue_deposit(work.call(), commission=number, amount=D(1000))).invoice.total == 1000


def test_deposits_of_several_rates_and_the_last_one_that_is_the_rest_add_up(work: Work, piece: Piece):
    six = [a_line("12.3456", "6", quantity=D("2.5")), a_line("40", "6", quantity=D(-1))]
    ordered(work, piece, a_line("1850", "8.25"), *six, a_line("0.98", "0"))
    number = piece.commission.number
    price = money(work)["price"]
    # 1850.00 + 152.63 (152.625) + 30.86 (30.864) - 40.00 - 0.55 (0.5484) + 0.98 = 1993.92, by hand
    assert price["total"] == D("1993.92")
    first = Paper.objects.get(what="deposit").invoice
    assert first.total == D("996.96")
    second = the_paper(issue_deposit(work.call(), commission=number, pct=D(50))).invoice
    assert first.total + second.total == price["total"]
    final = the_paper(issue_invoice(work.call(), commission=number)).invoice
    assert (final.net, final.tax, final.total) == (0, 0, 0)


def test_two_halves_of_an_odd_sum_are_the_whole(work: Work, piece: Piece):
    ordered(work, piece, a_line("99.99", "0"))
    assert Paper.objects.get(what="deposit").invoice.total == D("50.00")
    second = the_paper(issue_deposit(work.call(), commission=piece.commission.number, pct=D(50)))
    assert second.invoice.total == D("49.99")
    assert "the rest of the agreed 99.99" in said(second)["lines"][0]["description"]
    with pytest.raises(Invalid):
        issue_deposit(work.call(), commission=piece.commission.number, pct=D(1))


# By hand: of 4980.00 the first half is 2092.44 and 397.56; the second is the rest, 2092.43 and 397.57.
def test_a_second_half_takes_the_cent_of_tax_that_is_left_and_leaves_nothing(work: Work, piece: Piece):
    ordered(work, piece, a_line("4184.87"))
    number = piece.commission.number
    second = the_paper(issue_deposit(work.call(), commission=number, pct=D(50))).invoice
    assert (second.net, second.tax) == (D("2092.43"), D("397.57"))
    final = the_paper(issue_invoice(work.call(), commission=number)).invoice
    assert (final.net, final.tax, final.total) == (0, 0, 0)


def test_the_share_is_that_of_the_version_that_was_accepted(work: Work, piece: Piece):
    number = piece.commission.number
    draft_quote(work.call(), commission=number, lines=[a_line("1000")], deposit_pct=D(30))
    issue_offer(work.call(), offer=f"{number}-Q1")
    rewrite_offer(work.call(), offer=f"{number}-Q1", deposit_pct=D(20))
    issue_offer(work.call(), offer=f"{number}-Q1")
    accept_offer(work.call(), offer=f"{number}-Q1", version=2)
    more = the_paper(issue_deposit(work.call(), commission=number))
    asked = [paper.invoice.total for paper in Paper.objects.filter(what="deposit").order_by("id")]
    assert asked == [D("238.00"), D("238.00")]  # a fifth of 1190.00
    assert "20 % of the agreed 1,190.00" in said(more)["lines"][0]["description"]


@pytest.mark.parametrize("rates, named", [(("19",), []), (("19", "6"), ["19 %", "6 %"])])
def test_a_deposit_names_its_rates_where_it_has_several(
    work: Work, piece: Piece, rates: tuple[str, ...], named: list[str]
):
    ordered(work, piece, *(a_line("1000", rate) for rate in rates))
    lines = [line["description"] for line in said(Paper.objects.get(what="deposit"))["lines"]]
    told = [words.partition(", taxed at ")[2].replace("\u00a0", " ") for words in lines]
    assert told == (named or [""])


def test_a_credited_invoice_of_nothing_is_no_minus_on_the_statement(work: Work, piece: Piece):
    ordered(work, piece, a_line("1000"), pct="100")
    final = the_paper(issue_invoice(work.call(), commission=piece.commission.number))
    credit_invoice(work.call(), paper=final.number, reason="the wrong day")
    [account] = said(the_paper(issue_statement(work.call(), client=piece.commission.client_id)))["accounts"]
    assert [move["amount"] for move in account["moves"]] == ["1190.00", "0.00", "0.00"]
    assert account["moves"][-1]["owed"] == "1190.00"


def test_the_final_invoice_says_what_of_the_order_was_received(work: Work, piece: Piece):
    ordered(work, piece, a_line("4184.87"))
    number = piece.commission.number
    record_payment(work.call(), commission=number, amount=D(2490), what="deposit")
    record_payment(work.call(), commission=number, amount=D(100))
    final = said(the_paper(issue_invoice(work.call(), commission=number)))
    figures = {
        "agreed": "4980.00", "changed": "0.00", "invoiced": "4980.00", "credited": "0.00", "paid": "2590.00",
        "open": "2390.00", "deposit_open": "0.00", "to_come": "0.00", "left": "2390.00", "in_favor": "0.00",
        "late": "0.00", "days_late": 0, "state": "open",
    }  # fmt: skip
    assert final["order"] == figures
    assert [(p["what"], p["amount"]) for p in final["payments"]] == [("payment", "100.00")]
    assert (final["paid_before"], final["due"]) == ("100.00", "2390.00")


def test_a_receipt_counts_the_rest_of_the_order_as_still_to_be_paid(work: Work, piece: Piece):
    ordered(work, piece, a_line("4184.87"))
    number = piece.commission.number
    record_payment(work.call(), commission=number, amount=D(2490), what="deposit")
    payment = piece.commission.payments.get()
    receipt = said(the_paper(issue_receipt(work.call(), payment=payment.id)))
    order = receipt["order"]
    assert (order["agreed"], order["paid"], order["left"]) == ("4980.00", "2490.00", "2490.00")
    assert receipt["open"] == "0.00"
    told = money(work)["summary"]
    assert (told["left"], told["to_come"], told["open"]) == (D(2490), D(2490), D(0))


def test_nothing_is_still_to_be_paid_on_what_was_cancelled(work: Work, piece: Piece):
    number = piece.commission.number
    draft_quote(work.call(), commission=number, lines=[a_line("1000")], deposit_pct=D(0))
    issue_offer(work.call(), offer=f"{number}-Q1")
    accept_offer(work.call(), offer=f"{number}-Q1", version=1)
    assert money(work)["summary"]["left"] == D(1190)
    move_commission(work.call(), commission=number, to="cancelled", reason="moved away")
    assert money(work)["summary"]["left"] is None


def test_of_a_paid_deposit_nobody_is_reminded_while_the_rest_is_open(work: Work, piece: Piece):
    ordered(work, piece, a_line("1000"))
    number, deposit = piece.commission.number, Paper.objects.get(what="deposit")
    final = the_paper(issue_invoice(work.call(), commission=number))
    subjects = {f"invoice:{deposit.number}", f"invoice:{final.number}"}
    told = ReminderDue.objects.filter(subject__in=subjects)
    assert set(told.values_list("subject", flat=True)) == subjects
    record_payment(work.call(), commission=number, amount=D(595))
    assert set(told.values_list("subject", flat=True)) == {f"invoice:{final.number}"}


def test_every_cent_that_came_before_stands_on_the_invoice(work: Work, piece: Piece):
    ordered(work, piece, a_line("1000"), pct="0")
    for cents in ("0.99", "0.01"):
        record_payment(work.call(), commission=piece.commission.number, amount=D(cents))
    final = said(the_paper(issue_invoice(work.call(), commission=piece.commission.number)))
    assert [payment["amount"] for payment in final["payments"]] == ["0.99", "0.01"]
    assert (final["paid_before"], final["due"]) == ("1.00", "1189.00")  # 1000 and 19 % of it, less 1


def test_without_a_price_none_is_issued(work: Work, piece: Piece):
    accept_bare(work.call(), commission=piece.commission.number)
    with pytest.raises(NotYet, match="has no price") as refused:
        issue_deposit(work.call(), commission=piece.commission.number, pct=D(50))
    assert refused.value.field == "commission" and not Paper.objects.exists()


class TestChange:
    def order(self, work: Work, piece: Piece, name: str, price: str) -> Offer:
        number = piece.commission.number
        draft_change_order(work.call(), commission=number, words="A bevel", lines=[a_line(price)])
        issue_offer(work.call(), offer=f"{number}-{name}")
        return Offer.objects.get(number=f"{number}-{name}")

    def test_an_accepted_one_shows_the_totals_of_its_paper(self, work: Work, piece: Piece):
        ordered(work, piece, a_line("1000"))
        offer = self.order(work, piece, "X1", "100")
        accept_offer(work.call(), offer=offer.number, version=1)
        offer.refresh_from_db()
        paper, view = said(offer.paper), offer_view(offer, today=work.now.date())
        # 1000 and 100 at 19 %, by hand
        assert (paper["total_before"], paper["total_after"]) == ("1190.00", "1309.00")
        for name in ("net", "tax", "total", "total_before", "total_after"):
            assert view[name] == D(paper[name]), name
        assert money(work)["price"]["total"] == view["total_after"]

    def test_one_whose_price_has_moved_is_not_agreed_to(self, work: Work, piece: Piece):
        ordered(work, piece, a_line("1000"))
        first, second = self.order(work, piece, "X1", "100"), self.order(work, piece, "X2", "10")
        accept_offer(work.call(), offer=second.number, version=1)
        with pytest.raises(WrongState, match=r"was 1190.00 USD when .* is now 1201.90"):
            accept_offer(work.call(), offer=first.number, version=1)
        assert money(work)["price"]["total"] == D("1201.90")
