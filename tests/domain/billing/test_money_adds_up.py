"""Orders, changes, deposits, payments and credits in any order: papers, screens and API never contradict."""

import json
from contextlib import suppress
from datetime import date
from decimal import Decimal as D
from typing import Any

import pytest
from django.core.exceptions import ObjectDoesNotExist
from django.db import transaction
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from calcs.money.invoice import line_net
from jobs.core.errors import ShopError
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.billing.invoice_commands import issue_deposit, issue_invoice
from jobs.domain.billing.payments import record_payment, record_repayment
from jobs.domain.billing.prices import Line
from jobs.domain.billing.queries import receivables
from jobs.domain.billing.statements import issue_receipt, issue_statement
from jobs.domain.overviews.commission import commission_view
from jobs.domain.overviews.papers import paper_views
from jobs.domain.quoting.acceptance import accept_offer
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.queries import offer_view
from jobs.domain.quoting.quotes import draft_change_order, draft_quote, issue_offer
from jobs.log.private_texts import read
from jobs.models import Commission, Offer, Paper, Payment
from tests.shop_fixtures import Work, a_client, a_commission, a_piece

pytestmark = pytest.mark.django_db
ZERO = D("0.00")
CENTS = st.decimals(min_value=D("0.01"), max_value=D("9999.99"), places=2)
RATES = st.sampled_from(["0", "6", "8.25", "8.875", "19", "25"]).map(D)
LINES = st.builds(
    Line,
    description=st.sampled_from(["Desk top", "Top as drawn", "Delivery"]),
    unit_price=CENTS,
    quantity=st.sampled_from(["1", "2", "2.5", "7"]).map(D),
    tax_pct=RATES,
)
SHARES = st.sampled_from(["10", "30", "33.333", "50", "100"]).map(D)
STEPS = st.one_of(
    st.tuples(st.just("change"), LINES),
    st.tuples(st.just("leave out"), LINES),
    st.tuples(st.just("deposit"), SHARES),
    st.tuples(st.just("invoice"), st.none()),
    st.tuples(st.just("pay"), CENTS),
    st.tuples(st.just("pay what is due"), st.none()),
    st.tuples(st.just("give back"), CENTS),
    st.tuples(st.just("credit"), st.none()),
    st.tuples(st.just("receipt"), st.none()),
)
STORY = settings(
    max_examples=8, deadline=None, database=None, derandomize=True,
    suppress_health_check=list(HealthCheck), phases=[Phase.generate],
)  # fmt: skip


class Bookkeeper:
    """Plays an order and compares every paper with what pages and API show of it."""

    def __init__(self, work: Work, number: str) -> None:
        self.work, self.number = work, number

    def do(self, name: str, given: Any) -> None:
        """Run a step; a refused one changes nothing."""
        with suppress(ShopError, ObjectDoesNotExist):
            getattr(self, name.replace(" ", "_"))(given)
        self.check()

    def change(self, line: Line, quantity: D = D(1)) -> None:
        changed = Line(**{**vars(line), "quantity": line.quantity * quantity})
        draft = draft_change_order(self.work.call(), commission=self.number, words="So", lines=[changed])
        offer = draft.events[0].data["offer"]
        issue_offer(self.work.call(), offer=offer)
        accept_offer(self.work.call(), offer=offer, version=1)

    def leave_out(self, line: Line) -> None:
        self.change(line, D(-1))

    def deposit(self, pct: D) -> None:
        issue_deposit(self.work.call(), commission=self.number, pct=pct)

    def invoice(self, _: None) -> None:
        issue_invoice(self.work.call(), commission=self.number)

    def pay(self, amount: D) -> None:
        given = {"amount": amount, "again": True, "more_than_owed": True}
        record_payment(self.work.call(), commission=self.number, **given)

    def pay_what_is_due(self, _: None) -> None:
        self.pay(self.money()["summary"]["left"])

    def give_back(self, amount: D) -> None:
        record_repayment(self.work.call(), commission=self.number, amount=amount, reason="too much")

    def credit(self, _: None) -> None:
        paper = Paper.objects.filter(kind=Paper.INVOICE, withdrawn_at=None).latest("id")
        credit_invoice(self.work.call(), paper=paper.number, reason="wrong")

    def receipt(self, _: None) -> None:
        payment = Payment.objects.filter(amount__gt=0, receipts=None).latest("id")
        issue_receipt(self.work.call(), payment=payment.id)

    def money(self) -> dict[str, Any]:
        found = Commission.objects.get(number=self.number)
        view = commission_view(found, now=self.work.now, with_money=True)
        return view["money"]  # type: ignore[no-any-return]

    def check(self) -> None:
        papers = list(Paper.objects.select_related("commission", "invoice").order_by("id"))
        frozen = {paper.number: json.loads(read(paper.frozen_ref)) for paper in papers}
        for said in frozen.values():
            self.check_lines(said)
        for view in paper_views(papers, with_money=True, today=date(2026, 3, 2)):
            if view["invoice"]:
                self.check_invoice(view["invoice"], frozen[view["number"]])
        for offer in Offer.objects.exclude(paper=None):
            self.check_offer(offer, frozen[offer.paper.number])
        self.check_order(papers, frozen)

    def check_lines(self, said: dict[str, Any]) -> None:
        """Check that each line is quantity times price, and that net and total are the sums they claim."""
        for line in said.get("lines", []):
            amount = line_net(quantity=D(line["quantity"]), unit_price=D(line["unit_price"]))
            assert amount == D(line["amount"])
        if "net" in said:
            assert sum((D(line["amount"]) for line in said["lines"]), ZERO) == D(said["net"])
            assert sum((D(tax["taxable"]) for tax in said["totals"]), ZERO) == D(said["net"])
            assert sum((D(tax["tax"]) for tax in said["totals"]), ZERO) == D(said["tax"])
            assert D(said["net"]) + D(said["tax"]) == D(said["total"])

    def check_invoice(self, shown: dict[str, Any], said: dict[str, Any]) -> None:
        for name in ("net", "tax", "total", "paid_before", "due"):
            assert shown[name] == D(said[name]), name
        assert D(said["due"]) == D(said["total"]) - D(said["paid_before"])
        if said["kind"] == Paper.INVOICE:
            taken = sum((D(p["amount"]) for p in said["payments"]), ZERO)
            assert taken == D(said["paid_before"])

    def check_offer(self, offer: Offer, said: dict[str, Any]) -> None:
        view = offer_view(offer, today=self.work.now.date())
        for name in ("net", "tax", "total", "deposit"):
            assert view[name] == D(said[name]), name
        told = [D(one["with_tax"]) for one in said["alternatives"]]
        assert [one["with_tax"] for one in view["alternatives"]] == told
        if offer.kind == Offer.Kind.CHANGE:
            assert (view["total_before"], view["total_after"]) == (
                D(said["total_before"]), D(said["total_after"]),
            )  # fmt: skip
            assert view["total_after"] == view["total_before"] + view["total"]

    def check_order(self, papers: list[Paper], frozen: dict[str, Any]) -> None:
        """Check that invoices in force add up to the price once all is billed; the open sum is the rest."""
        held = [p for p in papers if p.asks_for_money]
        whole = [p for p in held if not p.what]
        money = self.money()
        price, sums = money["price"], money["summary"]
        invoiced = sum((p.invoice.total for p in held), ZERO)
        assert (sums["invoiced"] or ZERO) - sums["credited"] == invoiced
        if whole:
            for name in ("net", "tax", "total"):
                assert sum((getattr(p.invoice, name) for p in held), ZERO) == price[name], name
            assert sums["to_come"] == 0
        else:
            assert sums["to_come"] == max(price["total"] - invoiced, ZERO)
        payments = list(Payment.objects.order_by("id"))
        received = sum((p.amount for p in payments), ZERO)
        assert sums["paid"] == received
        assert sums["left"] == max(max(invoiced, price["total"]) - received, ZERO)
        opened = sum((row["open"] for row in receivables(today=self.work.now.date())["invoices"]), ZERO)
        shown = [
            v["invoice"]["open"]
            for v in paper_views(papers, with_money=True, today=date(2026, 3, 2))
            if v["invoice"]
        ]
        assert sum(shown, ZERO) == opened == max(invoiced - received, ZERO)
        if papers and papers[-1].kind == Paper.RECEIPT and papers[-1].id > payments[-1].id:
            order = frozen[papers[-1].number]["order"]
            assert (D(order["agreed"]), D(order["paid"])) == (price["total"], received)
            assert D(order["left"]) == sums["left"]


@pytest.fixture
def number(work: Work) -> str:
    piece = a_piece(work.call(), a_commission(work.call(), a_client(work.call())), species="white oak")
    return str(piece.commission.number)


def test_whatever_is_ordered_changed_paid_and_credited_the_papers_agree(work: Work, number: str):
    piece = Commission.objects.get().pieces.get()

    @STORY
    @given(
        lines=st.lists(LINES, min_size=1, max_size=3),
        pct=SHARES,
        difference=CENTS,
        is_chosen=st.booleans(),
        steps=st.lists(STEPS, min_size=4, max_size=9),
    )
    def story(**given: Any) -> None:
        with transaction.atomic():
            play(Bookkeeper(work, number), piece.number, **given)
            transaction.set_rollback(True)

    story()


def play(
    books: Bookkeeper, piece: str, lines: list[Line], pct: D, difference: D, is_chosen: bool,
    steps: list[tuple[str, Any]],
) -> None:  # fmt: skip
    work, number = books.work, books.number
    other = Alternative(piece=piece, species="black walnut", difference=difference)
    draft_quote(work.call(), commission=number, lines=lines, alternatives=[other], deposit_pct=pct)
    issue_offer(work.call(), offer=f"{number}-Q1")
    accept_offer(work.call(), offer=f"{number}-Q1", version=1, chosen=[1] if is_chosen else [])
    quoted, price = offer_view(Offer.objects.get(), today=work.now.date()), books.money()["price"]
    assert quoted["agreed"]["total"] == price["total"]
    assert price["total"] == quoted["total"] + (quoted["alternatives"][0]["with_tax"] if is_chosen else 0)
    deposit = Paper.objects.filter(what="deposit").first()
    asked = deposit.invoice.total if deposit else ZERO
    assert asked == books.money()["deposit_asked"]
    if not is_chosen:
        assert asked == quoted["deposit"]
    books.check()
    for name, given_ in steps:
        books.do(name, given_)
    books.do("invoice", None)
    books.do("pay what is due", None)
    client = Commission.objects.get(number=number).client_id
    issue_statement(work.call(), client=client)
    said = json.loads(read(Paper.objects.get(kind=Paper.STATEMENT).frozen_ref))
    [account] = said["accounts"]
    assert sum((D(row["amount"]) for row in account["open"]), ZERO) == books.money()["summary"]["open"]
