"""Orders, changes, deposits, payments and credits in any order: papers, screens and API never contradict.

A Hypothesis machine plays an order by the real commands. After each step every paper says what it is the sum
of, what was frozen at its issue is the summary of that moment, and the sums of all papers are the summary's.
The expected sums are added up here, from the papers and the payments alone.
"""

import json
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal as D
from html import unescape
from typing import Any

import pytest
from django.db import transaction
from django.utils.html import strip_tags
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from calcs.kit.errors import CalcError
from calcs.money.invoice import line_net
from jobs.core.errors import ShopError
from jobs.documents.kit.wording import money
from jobs.domain.billing.credits import CreditLine, credit_invoice
from jobs.domain.billing.invoice_commands import issue_deposit, issue_invoice
from jobs.domain.billing.payments import METHODS, record_payment, record_repayment
from jobs.domain.billing.prices import Line, price_of
from jobs.domain.billing.queries import receivables
from jobs.domain.billing.statements import issue_receipt, issue_statement
from jobs.domain.billing.voiding import correct_payment, void_payment
from jobs.domain.overviews.client_portal_papers import to_pay
from jobs.domain.overviews.commission import commission_view
from jobs.domain.overviews.papers import paper_views
from jobs.domain.papers.kinds import paper_kind
from jobs.domain.quoting.acceptance import accept_offer, decline_offer
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.queries import offer_view
from jobs.domain.quoting.quotes import draft_change_order, draft_quote, issue_offer
from jobs.log.commands import CommandResult
from jobs.log.private_texts import read
from jobs.log.rebuild import compare
from jobs.models import Commission, Event, Offer, Paper, Payment
from tests.shop_fixtures import Work, a_client, a_commission, a_piece

pytestmark = pytest.mark.django_db
ZERO = D("0.00")
CENTS = st.decimals(min_value=D("0.01"), max_value=D("9999.99"), places=2)
LINES = st.builds(
    Line,
    description=st.sampled_from(["Desk top", "Top as drawn", "Delivery"]),
    unit_price=CENTS,
    quantity=st.sampled_from(["1", "2", "2.5", "7"]).map(D),
    tax_pct=st.sampled_from(["0", "6", "8.25", "8.875", "19", "25"]).map(D),
)
ASKED = st.sampled_from(["0", "10", "33.333", "50", "100", "-0.01", "-250.00", "-99999"]).map(D)
"""Deposits of a quote: a share of the price [%], or a sum as a number below 0."""
SHARES = st.sampled_from(["10", "30", "33.333", "50", "100"]).map(D)
PARTS = st.sampled_from(["0.01", "0.25", "0.5", "0.999", "1", "1.5"]).map(D)
"""Parts of what is left: some are more than there is, and are refused."""
WHICH = st.integers(0, 5)
SUMMED = ("net", "tax", "total")
played: Counter[str] = Counter()


class Books(RuleBasedStateMachine):
    """An order of two pieces from its quote on; ``work`` and ``number`` are of the shop it is played in."""

    work: Work
    number: str

    @initialize(
        lines=st.lists(LINES, min_size=1, max_size=3), asked=ASKED, difference=CENTS,
        inside=st.booleans(),
        chosen=st.sampled_from([(), (1,), (2,), (1, 2)]),
    )  # fmt: skip
    def order(
        self, lines: list[Line], asked: D, difference: D, inside: bool, chosen: tuple[int, ...]
    ) -> None:
        self.block = transaction.atomic()
        self.block.__enter__()
        self.seen: dict[str, dict[str, Any]] = {}
        piece = Commission.objects.get(number=self.number).pieces.order_by("number")[0].number
        others = [
            Alternative(piece=piece, species="black walnut", difference=difference),
            Alternative(description="A groove for cables", difference=D("85.40")),
        ]
        call, offer = self.work.call, f"{self.number}-Q1"
        self.inside = inside
        lines = [replace(line, with_tax=inside) for line in lines]
        total = price_of(lines).sums.gross
        asks = {"deposit_pct": asked} if asked >= 0 else {"deposit_sum": min(-asked, total)}
        draft_quote(call(), commission=self.number, lines=lines, alternatives=others, **asks)
        issue_offer(call(), offer=offer)
        accept_offer(call(), offer=offer, version=1, chosen=list(chosen))
        quoted = offer_view(Offer.objects.get(), today=self.today)
        self.quoted = quoted["agreed"]["total"]
        picked = [quoted["alternatives"][n - 1] for n in chosen]
        assert len(picked) != 1 or self.quoted == quoted["total"] + picked[0]["with_tax"]
        deposit = Paper.objects.filter(what="deposit").first()
        assert (deposit.invoice.total if deposit else ZERO) == self.money()["deposit_asked"]
        assert picked or (deposit.invoice.total if deposit else ZERO) == quoted["deposit"]

    @property
    def today(self) -> date:
        return self.work.now.date()

    def do(self, act: Callable[[], CommandResult]) -> None:
        """Carry out a command; what is refused leaves the log as it was."""
        before = Event.objects.order_by("-seq").values_list("seq", "hash").first()
        try:
            act()
        except (ShopError, CalcError):
            played["refused"] += 1
            assert Event.objects.order_by("-seq").values_list("seq", "hash").first() == before
        else:
            played["done"] += 1

    # What a shop does.

    @rule(line=LINES, sign=st.sampled_from([1, -1]), is_agreed=st.booleans())
    def change(self, line: Line, sign: int, is_agreed: bool) -> None:
        changed = replace(line, quantity=line.quantity * sign, with_tax=self.inside)

        def act() -> CommandResult:
            draft = draft_change_order(
                self.work.call(), commission=self.number, words="So", lines=[changed]
            )  # fmt: skip
            offer = draft.events[0].data["offer"]
            issue_offer(self.work.call(), offer=offer)
            paper = Paper.objects.get(offers__number=offer)
            check_same(json.loads(read(paper.frozen_ref))["order"], self.money()["summary"])
            answer = accept_offer if is_agreed else decline_offer
            return answer(self.work.call(), offer=offer, version=1)

        self.do(lambda: _at_once(act))

    @rule(asked=SHARES | CENTS.map(lambda amount: -amount))
    def deposit(self, asked: D) -> None:
        asks = {"pct": asked} if asked > 0 else {"amount": -asked}
        self.do(lambda: issue_deposit(self.work.call(), commission=self.number, **asks))

    @rule()
    def invoice(self) -> None:
        self.do(lambda: issue_invoice(self.work.call(), commission=self.number))

    @rule(amount=CENTS, method=st.sampled_from(METHODS))
    def pay(self, amount: D, method: str) -> None:
        given = {"amount": amount, "method": method, "again": True, "more_than_owed": True}
        self.do(lambda: record_payment(self.work.call(), commission=self.number, **given))

    @rule(name=st.sampled_from(["left", "open", "deposit_open"]))
    def pay_what_is_asked(self, name: str) -> None:
        self.pay(self.money()["summary"][name] or ZERO, "transfer")

    @rule(part=PARTS)
    def give_back(self, part: D) -> None:
        amount = round(self.money()["free"] * part, 2)
        given = {"amount": amount, "reason": "too much"}
        self.do(lambda: record_repayment(self.work.call(), commission=self.number, **given))

    @rule(which=WHICH, amount=CENTS)
    def correct(self, which: int, amount: D) -> None:
        given = {"amount": amount, "again": True, "more_than_owed": True}
        self.with_payment(which, lambda one: correct_payment(self.work.call(), payment=one.id, **given))

    @rule(which=WHICH)
    def void(self, which: int) -> None:
        self.with_payment(which, lambda one: void_payment(self.work.call(), payment=one.id))

    @rule(which=WHICH)
    def receipt(self, which: int) -> None:
        self.with_payment(which, lambda one: issue_receipt(self.work.call(), payment=one.id))

    @rule(which=WHICH)
    def credit(self, which: int) -> None:
        self.with_invoice(which, lambda one: self.credited(one))

    @rule(which=WHICH, part=PARTS)
    def credit_a_sum(self, which: int, part: D) -> None:
        self.with_invoice(which, lambda one: self.credited(one, amount=round(self.left_of(one) * part, 2)))

    @rule(which=WHICH, place=st.integers(1, 4), quantity=st.sampled_from(["0.5", "1", "2"]).map(D))
    def credit_a_line(self, which: int, place: int, quantity: D) -> None:
        lines = [CreditLine(line=place, quantity=quantity)]
        self.with_invoice(which, lambda one: self.credited(one, lines=lines))

    @rule()
    def statement(self) -> None:
        client = Commission.objects.get(number=self.number).client_id
        self.do(lambda: issue_statement(self.work.call(), client=client))

    def credited(self, paper: Paper, **given: Any) -> CommandResult:
        return credit_invoice(self.work.call(), paper=paper.number, reason="a scratch", **given)

    def left_of(self, paper: Paper) -> D:
        notes = Paper.objects.filter(credits=paper.number)
        return paper.invoice.total - sum((note.invoice.total for note in notes), ZERO)

    def with_payment(self, which: int, act: Callable[[Payment], CommandResult]) -> None:
        if found := list(Payment.objects.order_by("id")):
            self.do(lambda: act(found[which % len(found)]))

    def with_invoice(self, which: int, act: Callable[[Paper], CommandResult]) -> None:
        if found := list(Paper.objects.filter(kind=Paper.INVOICE).order_by("id")):
            self.do(lambda: act(found[which % len(found)]))

    # What holds after each step.

    def money(self) -> dict[str, Any]:
        found = Commission.objects.get(number=self.number)
        view = commission_view(found, now=self.work.now, with_money=True)
        return view["money"]  # type: ignore[no-any-return]

    @invariant()
    def every_paper_and_page_agrees(self) -> None:
        if not hasattr(self, "seen"):
            return
        shown = self.money()
        papers = list(Paper.objects.select_related("commission", "invoice").order_by("id"))
        new = [paper for paper in papers if paper.number not in self.seen]
        for paper in new:
            said = json.loads(read(paper.frozen_ref))
            self.seen[paper.number] = said
            played[paper.kind if not paper.what else f"{paper.kind}, {paper.what}"] += 1
            check_sums(said)
        if new and new[-1].kind in (Paper.INVOICE, Paper.CREDIT, Paper.RECEIPT):
            check_same(self.seen[new[-1].number]["order"], shown["summary"])
        if new and new[-1].kind == Paper.STATEMENT:
            self.check_statement(self.seen[new[-1].number], shown["summary"])
        self.check_pages(papers, shown["summary"])
        self.check_order(papers, shown)
        for offer in Offer.objects.exclude(paper=None).select_related("paper", "commission"):
            self.check_offer(offer, self.seen[offer.paper.number])

    def check_pages(self, papers: list[Paper], sums: dict[str, Any]) -> None:
        """Check that the list of papers, the open invoices and the client's page show what is open."""
        views = paper_views(papers, with_money=True, today=self.today)
        for view, paper in zip(views, papers, strict=True):
            if view["invoice"]:
                said = self.seen[paper.number]
                assert all(view["invoice"][name] == D(said[name]) for name in (*SUMMED, "paid_before", "due"))
        opened = sum((view["invoice"]["open"] for view in views if view["invoice"]), ZERO)
        listed = sum((row["open"] for row in receivables(today=self.today)["invoices"]), ZERO)
        asked = to_pay(Commission.objects.get(number=self.number), today=self.today)
        told = sum((bill["amount"] for bill in asked["bills"]), ZERO) if asked else ZERO
        assert opened == listed == told == sums["open"]

    def check_order(self, papers: list[Paper], shown: dict[str, Any]) -> None:
        """Check the summary against the sums of papers and payments, added up here."""
        sums, price = shown["summary"], shown["price"]
        invoices = [paper for paper in papers if paper.kind == Paper.INVOICE]
        notes = [paper for paper in papers if paper.kind == Paper.CREDIT]
        held = [paper for paper in invoices if paper.withdrawn_at is None]
        whole = [paper for paper in held if not paper.what]
        invoiced, credited = total_of(invoices), total_of(notes)
        paid = sum((one.amount for one in Payment.objects.filter(voided_at=None)), ZERO)
        assert (sums["invoiced"] or ZERO, sums["credited"], sums["paid"]) == (invoiced, credited, paid)
        assert sums["agreed"] == price["total"] == self.quoted + sums["changed"]
        billed = invoiced - credited
        to_come = ZERO if whole else max(price["total"] - billed, ZERO)
        assert (sums["open"], sums["to_come"]) == (max(billed - paid, ZERO), to_come)
        assert sums["left"] - sums["in_favor"] == billed + to_come - paid
        assert sums["left"] == 0 or sums["in_favor"] == 0
        assert shown["free"] == max(paid - billed, ZERO)
        for one in held:
            left = one.invoice.total - total_of(notes, of=one.number)
            assert one.invoice.total < 0 or left >= 0, "never more is credited than there is"
        for name in SUMMED if whole else ():
            conceded = total_of(notes, name, of=whole[0].number)
            asked = sum((getattr(one.invoice, name) for one in held), ZERO) - sum(
                (total_of(notes, name, of=one.number) for one in held), ZERO
            )
            assert asked == price[name] - conceded, name

    def check_offer(self, offer: Offer, said: dict[str, Any]) -> None:
        view = offer_view(offer, today=self.today)
        for name in ("net", "tax", "total", "deposit"):
            assert view[name] == D(said[name]), name
        told = [D(one["with_tax"]) for one in said["alternatives"]]
        assert [one["with_tax"] for one in view["alternatives"]] == told
        if offer.kind == Offer.Kind.CHANGE:
            assert (view["total_before"], view["total_after"]) == (
                D(said["total_before"]), D(said["total_after"]),
            )  # fmt: skip
            assert view["total_after"] == view["total_before"] + view["total"]

    def check_statement(self, said: dict[str, Any], sums: dict[str, Any]) -> None:
        [account] = said["accounts"]
        assert sum((D(row["amount"]) for row in account["open"]), ZERO) == sums["open"]
        moved = sum((D(move["amount"]) for move in account["moves"]), ZERO)
        assert D(account["moves"][-1]["owed"]) == moved == sums["open"] - D(account["free"])
        [order] = account["orders"]
        check_same({name: order[name] for name in order if name != "commission"}, sums)

    def teardown(self) -> None:
        if not hasattr(self, "seen"):
            return
        played["examples"] += 1
        self.end()
        for number, said in self.seen.items():
            self.check_print(number, said)
        transaction.set_rollback(True)
        self.block.__exit__(None, None, None)

    def end(self) -> None:
        """Bill what is left, credit a part, take the rest with a receipt, and sum the account up."""
        self.invoice()
        if whole := Paper.objects.filter(kind=Paper.INVOICE, what="", withdrawn_at=None).last():
            part = round(self.left_of(whole) * D("0.25"), 2)
            self.do(lambda: self.credited(whole, amount=part))
            self.every_paper_and_page_agrees()
        self.pay_what_is_asked("left")
        if latest := Payment.objects.filter(amount__gt=0, voided_at=None, receipts=None).last():
            self.do(lambda: issue_receipt(self.work.call(), payment=latest.id))
            self.every_paper_and_page_agrees()
        self.statement()
        self.every_paper_and_page_agrees()

    def check_print(self, number: str, said: dict[str, Any]) -> None:
        """Check that the printed page of a paper holds its figures."""
        html = paper_kind(said["kind"]).layout(said)
        text = " ".join(unescape(strip_tags(html)).split())
        figures = {name: said[name] for name in SUMMED if name in said}
        if said["kind"] == Paper.RECEIPT:
            figures = {"amount": said["payment"]["amount"]}
            if D(said["order"]["left"] or 0):
                figures["left"] = said["order"]["left"]
        elif said["kind"] == Paper.STATEMENT:
            figures = {"owed": abs(D(said["accounts"][0]["moves"][-1]["owed"]))}
        elif said["kind"] == Paper.CHANGE:
            figures |= {name: said[name] for name in ("total_before", "total_after")}
        elif D(said.get("deposit") or 0):
            figures["deposit"] = said["deposit"]
        for name, amount in figures.items():
            if name != "tax":
                assert money(abs(D(amount))) in text, (number, name, amount)


def _at_once(act: Callable[[], CommandResult]) -> CommandResult:
    """Run commands of which none stays where one is refused."""
    with transaction.atomic():
        return act()


def total_of(papers: list[Paper], name: str = "total", of: str = "") -> D:
    return sum((getattr(p.invoice, name) for p in papers if not of or p.credits == of), ZERO)


def check_sums(said: dict[str, Any]) -> None:
    """Check that each line is quantity times price, and that net and total are the sums they claim."""
    for line in said.get("lines", []):
        assert line_net(quantity=D(line["quantity"]), unit_price=D(line["unit_price"])) == D(line["amount"])
    if "net" in said:
        assert sum((D(line["amount"]) for line in said["lines"]), ZERO) == D(said["net"])
        assert sum((D(tax["taxable"]) for tax in said["totals"]), ZERO) == D(said["net"])
        assert sum((D(tax["tax"]) for tax in said["totals"]), ZERO) == D(said["tax"])
        assert D(said["net"]) + D(said["tax"]) == D(said["total"])
    if said["kind"] in Paper.SUMMED:
        assert D(said["due"]) == D(said["total"]) - D(said["paid_before"])
        assert sum((D(p["amount"]) for p in said["payments"]), ZERO) == D(said["paid_before"])


def check_same(said: dict[str, Any], shown: dict[str, Any]) -> None:
    """Check that a frozen summary is the one that is shown."""
    assert said.keys() == shown.keys()
    for name, value in shown.items():
        frozen = said[name]
        assert (D(frozen) if isinstance(value, D) else frozen) == value, name


@pytest.fixture
def number(work: Work) -> str:
    commission = a_commission(work.call(), a_client(work.call()))
    for species in ("white oak", "sugar maple"):
        a_piece(work.call(), commission, species=species)
    return str(commission.number)


def play(work: Work, number: str, *, examples: int, steps: int, **more: Any) -> None:
    machine = type("Played", (Books,), {"work": work, "number": number})
    played.clear()
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=examples, stateful_step_count=steps, deadline=None, database=None,
            suppress_health_check=list(HealthCheck), phases=[Phase.generate, *more.pop("phases", ())], **more,
        ),
    )  # fmt: skip
    print("played:", dict(played))


def test_whatever_is_ordered_changed_paid_and_credited_the_papers_agree(work: Work, number: str):
    play(work, number, examples=6, steps=11, derandomize=True)
    assert played["examples"] == 6 and played["credit-note, part"] and played["receipt"]


@pytest.mark.long
def test_the_same_of_many_orders_and_the_log_tells_it_again(work: Work, number: str):
    play(work, number, examples=300, steps=25, phases=[Phase.shrink])
    assert compare() == []
