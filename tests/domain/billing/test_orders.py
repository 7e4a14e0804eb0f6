"""Orders without a quote: accepted with price and day, taken back while nothing depends on them."""

import json
from datetime import date
from decimal import Decimal

import pytest

from jobs.core.errors import Forbidden, Invalid, NotYet, WrongState
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.billing.orders import accept_order, take_back_acceptance
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.prices import Line, set_price
from jobs.domain.commissions.commissions import change_commission, move_commission
from jobs.domain.overviews.bench import bench
from jobs.domain.overviews.client_portal import client_page
from jobs.domain.overviews.commission import commission_rows, commission_view
from jobs.domain.quoting.acceptance import accept_offer, decline_offer
from jobs.domain.quoting.quotes import draft_quote, issue_offer, rewrite_offer
from jobs.domain.quoting.sending import send_offer
from jobs.domain.workshop.commands import set_shop
from jobs.log.private_texts import read
from jobs.log.rebuild import compare
from jobs.models import Commission, Event, Offer, Paper, Piece, ReminderDue, Wait
from tests.shop_fixtures import (
    QUICK,
    Work,
    a_client,
    a_commission,
    a_maker,
    a_piece,
    a_price,
    accept_bare,
    issue_job_sheet,
)

pytestmark = pytest.mark.django_db
DAY = date(2026, 9, 1)


@pytest.fixture
def piece(work: Work) -> Piece:
    """Return a top of an enquiry."""
    return a_piece(work.call(), a_commission(work.call(), a_client(work.call())))


@pytest.fixture
def number(piece: Piece) -> str:
    return piece.commission.number


def the(number: str) -> Commission:
    return Commission.objects.get(number=number)


def a_quote(work: Work, number: str) -> Offer:
    line = Line(description="Top as drawn", unit_price=Decimal(1000), tax_pct=Decimal(10))
    draft_quote(work.call(), commission=number, lines=[line])
    issue_offer(work.call(), offer=f"{number}-Q1")
    return Offer.objects.get()


class TestAccepting:
    def test_an_enquiry_without_price_and_day_is_refused_by_name(self, work: Work, number: str):
        with pytest.raises(NotYet, match="needs a price and a promised day") as refused:
            move_commission(work.call(), commission=number, to="accepted")
        assert refused.value.extra["missing"] == ["price", "promise_on"]
        with pytest.raises(NotYet, match="needs a promised day before") as refused:
            accept_order(work.call(), commission=number, price=Decimal(900))
        assert refused.value.field == "promise_on"
        assert the(number).step == "enquiry" and not the(number).price_lines.exists()

    def test_price_day_and_deposit_come_with_it(self, work: Work, number: str):
        set_shop(work.call(), settings={"tax_pct": "10"})
        accept_order(
            work.call(), commission=number, price=Decimal(1000), promise_on=DAY, deposit_pct=Decimal(50)
        )
        found = the(number)
        assert (found.step, found.promise_on) == ("accepted", DAY)
        assert commission_view(found, now=work.now, with_money=True)["money"]["price"]["total"] == 1100
        assert Paper.objects.get().invoice.total == 550
        assert compare() == []

    @pytest.mark.parametrize("deposit", ["0.01", "333.33", "1099.99", "1100"])
    def test_a_deposit_may_be_a_sum(self, work: Work, number: str, deposit: str):
        set_shop(work.call(), settings={"tax_pct": "10"})
        terms = {"price": Decimal(1000), "promise_on": DAY, "deposit": Decimal(deposit)}
        accept_order(work.call(), commission=number, **terms)
        asked = Paper.objects.get()
        assert asked.invoice.total == Decimal(deposit)
        words = json.loads(read(asked.frozen_ref))["lines"][0]["description"]
        assert words == f"Deposit of the agreed 1,100.00 USD with sales tax: {Decimal(deposit):,.2f} USD"
        assert compare() == []

    def test_a_price_that_was_set_and_a_day_that_was_promised_suffice(self, work: Work, piece: Piece):
        a_price(work.call(), piece.commission)
        change_commission(work.call(), commission=piece.commission.number, promise_on=DAY)
        move_commission(work.call(), commission=piece.commission.number, to="accepted")
        assert the(piece.commission.number).step == "accepted"

    @pytest.mark.parametrize(
        "given, field",
        [
            ({"price": Decimal(-1)}, "price"),
            ({"price": Decimal("1.005")}, "price"),
            ({"price": Decimal("NaN")}, "price"),
            ({"price": Decimal(1), "lines": []}, "price"),
            ({"lines": []}, "lines"),
            ({"promise_on": date(2026, 1, 1)}, "promise_on"),
            ({"deposit_pct": Decimal(101)}, "deposit_pct"),
            ({"deposit": Decimal("-1")}, "deposit"),
            ({"deposit": Decimal("900.01")}, "deposit"),
            ({"deposit": Decimal("0.001")}, "deposit"),
            ({"deposit": Decimal(1), "deposit_pct": Decimal(1)}, "deposit"),
        ],
    )
    def test_what_cannot_be_is_refused_by_its_field(self, work: Work, number: str, given, field):
        before = Event.objects.count()
        asked = {"promise_on": DAY, **({} if "lines" in given else {"price": Decimal(900)}), **given}
        with pytest.raises(Invalid) as refused:
            accept_order(work.call(), commission=number, **asked)
        assert refused.value.field == field and refused.value.allowed
        assert Event.objects.count() == before

    def test_a_quote_that_is_with_the_client_is_answered_instead(self, work: Work, number: str):
        a_quote(work, number)
        with pytest.raises(WrongState, match="Q1 is with the client"):
            accept_order(work.call(), commission=number, price=Decimal(900), promise_on=DAY)

    def test_it_is_the_owners(self, work: Work, number: str):
        helper = Work(by=a_maker(), now=work.now)
        with pytest.raises(Forbidden):
            accept_order(helper.call(), commission=number, price=Decimal(900), promise_on=DAY)
        with pytest.raises(Forbidden):
            take_back_acceptance(helper.call(), commission=number)


class TestTakingItBack:
    def test_while_nothing_rests_on_it_the_order_is_what_it_was(self, work: Work, piece: Piece):
        number = piece.commission.number
        work.do(piece, "survey")
        accept_order(work.call(), commission=number, price=Decimal(1000), promise_on=DAY)
        assert "The order is confirmed." in str(client_page(the(number), now=work.now)["days"])
        take_back_acceptance(work.call(), commission=number, reason="wrong one tapped")
        found = the(number)
        assert (found.step, found.promise_on, found.price_lines.count()) == ("enquiry", DAY, 1)
        assert "The order is confirmed." not in str(client_page(found, now=work.now)["days"])
        move_commission(work.call(), commission=number, to="accepted")
        assert the(number).step == "accepted"
        assert compare() == []

    def test_what_was_quoted_is_quoted_again(self, work: Work, number: str):
        move_commission(work.call(), commission=number, to="quoted")
        accept_order(work.call(), commission=number, price=Decimal(1000), promise_on=DAY)
        take_back_acceptance(work.call(), commission=number)
        assert the(number).step == "quoted"

    def test_a_stage_a_paper_and_a_payment_rest_on_it_and_are_named(self, work: Work, piece: Piece):
        number = piece.commission.number
        accept_order(
            work.call(), commission=number, price=Decimal(1000), promise_on=DAY, deposit_pct=Decimal(50)
        )
        issue_job_sheet(work.call(), commission=number)
        record_payment(work.call(), commission=number, amount=Decimal(100))
        with pytest.raises(WrongState) as refused:
            take_back_acceptance(work.call(), commission=number)
        said = str(refused.value)
        assert "invoice I2026-0001 is issued; credit it first" in said
        assert "job sheet J2026-0001 is issued; withdraw it first" in said
        assert "a payment of 100.00 USD is recorded; void it first" in said
        record_payment(work.call(), commission=number, amount=Decimal(400))  # the rest of the deposit
        work.do(piece, "survey", "stock")
        with pytest.raises(WrongState, match="is in the shop"):
            take_back_acceptance(work.call(), commission=number)

    def test_a_credited_deposit_is_nothing_that_rests_on_it(self, work: Work, number: str):
        accept_order(
            work.call(), commission=number, price=Decimal(1000), promise_on=DAY, deposit_pct=Decimal(50)
        )
        credit_invoice(work.call(), paper="I2026-0001", reason="accepted by mistake")
        take_back_acceptance(work.call(), commission=number)
        assert the(number).step == "enquiry"

    def test_the_clients_yes_to_a_quote_stays(self, work: Work, number: str):
        quote = a_quote(work, number)
        accept_offer(work.call(), offer=quote.number, version=1)
        with pytest.raises(WrongState, match="Q1 was accepted; cancel"):
            take_back_acceptance(work.call(), commission=number)


def next_of(work: Work, number: str) -> list[str]:
    (row,) = commission_rows([the(number)], now=work.now, with_office=True)
    return row["next"]


def on_bench(work: Work) -> dict[str, list[str]]:
    shown = bench(now=work.now, person=work.by.id)
    return {
        "office": [card["do"] for card in shown["office"]],
        "can_do": [card["stage"] for card in shown["can_do"]],
        "waiting": [card["wait"]["kind"] for card in shown["waiting"]],
    }


class TestWhatComesNext:
    def test_of_an_enquiry_a_quote_is_written(self, work: Work, number: str):
        assert next_of(work, number)[0] == "Write the quote"
        assert on_bench(work)["office"] == ["Write the quote"]
        draft_quote(work.call(), commission=number)
        assert next_of(work, number)[0] == "Send the quote"
        issue_offer(work.call(), offer=f"{number}-Q1")
        assert next_of(work, number)[0] == "Send the quote"
        send_offer(work.call(), offer=f"{number}-Q1", by_hand=True)
        assert next_of(work, number)[0] == "Wait for the client"
        assert on_bench(work)["office"] == []  # it waits for the client
        work.go(days=5)
        assert next_of(work, number)[0] == "Ask again"
        work.go(days=26)
        assert next_of(work, number)[0] == "Revise or let go"
        assert on_bench(work)["office"] == ["Revise or let go"]

    def test_of_a_delivered_order_the_invoice_then_the_payment_closes_it(self, work: Work):
        from jobs.domain.billing.invoice_commands import issue_invoice
        from tests.shop_fixtures import issue_checklist, quick_sheets

        quick_sheets(work.call())
        piece = work.accepted(**QUICK)
        number = piece.commission.number
        a_price(work.call(), piece.commission)
        work.do_until(piece, "wrap")
        issue_checklist(work.call(), commission=number)
        work.do(piece, "deliver")
        assert next_of(work, number)[0] == "Issue the invoice and send it"
        assert on_bench(work) == {"office": ["Issue the invoice and send it"], "can_do": [], "waiting": []}
        issue_invoice(work.call(), commission=number)
        assert next_of(work, number)[:2] == ["Send the invoice", "Record the payment"]
        assert on_bench(work)["office"] == ["Send the invoice"]
        record_payment(work.call(), commission=number, amount=Decimal(1100))
        assert on_bench(work) == {"office": [], "can_do": [], "waiting": []}
        assert the(number).step == "closed" and next_of(work, number) == []


class TestADeclinedQuote:
    def test_it_stops_stages_and_reminders_until_a_version_is_issued(self, work: Work, piece: Piece):
        number = piece.commission.number
        quote = a_quote(work, number)
        assert on_bench(work)["can_do"] == ["survey"]
        decline_offer(work.call(), offer=quote.number, version=1)
        assert the(number).step == "declined" and next_of(work, number) == []
        assert on_bench(work) == {"office": [], "can_do": [], "waiting": []}
        view = commission_view(the(number), now=work.now, with_money=True)
        assert {s["standing"] for s in view["pieces"][0]["stages"]} == {"planned"}
        assert view["office"] == []
        with pytest.raises(WrongState, match="is declined"):
            work.start(piece, "survey")
        assert compare() == []
        rewrite_offer(work.call(), offer=quote.number, words="with less wood")
        assert next_of(work, number) == ["Send the quote"]
        issue_offer(work.call(), offer=quote.number)
        assert on_bench(work)["can_do"] == ["survey"]

    def test_its_running_waits_are_told_of_no_more(self, work: Work, piece: Piece):
        """Stock that was bought early settles; after the client declines, nobody gets its reminders."""
        number = piece.commission.number
        accept_bare(work.call(), commission=number)
        work.do(piece, "survey", "stock")
        assert ReminderDue.objects.filter(wait__isnull=False).exists()
        Commission.objects.filter(number=number).update(step="quoted")
        quote = a_quote(work, number)
        decline_offer(work.call(), offer=quote.number, version=1)
        assert Wait.objects.filter(step="running").exists()
        assert not ReminderDue.objects.filter(wait__isnull=False).exists()
        assert on_bench(work)["waiting"] == []

    def test_a_declined_change_order_stops_nothing(self, work: Work, piece: Piece):
        from jobs.domain.quoting.quotes import draft_change_order

        number = piece.commission.number
        set_price(work.call(), commission=number, lines=[Line(description="Top", unit_price=Decimal(10))])
        accept_bare(work.call(), commission=number)
        line = Line(description="Bevel", unit_price=Decimal(10))
        draft_change_order(work.call(), commission=number, words="A bevel", lines=[line])
        issue_offer(work.call(), offer=f"{number}-X1")
        decline_offer(work.call(), offer=f"{number}-X1", version=1)
        assert on_bench(work)["can_do"] == ["survey"]
