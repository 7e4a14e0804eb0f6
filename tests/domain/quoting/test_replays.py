"""Quotes sent twice are written once; refused answers to quotes write nothing."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from jobs.core.errors import (
    AlreadyDone,
    Expired,
    Forbidden,
    Invalid,
    KeyReused,
    NotYet,
    Revised,
    ShopError,
    Stale,
    WrongState,
)
from jobs.domain.billing.prices import Line
from jobs.domain.commissions.commissions import move_commission
from jobs.domain.quoting.acceptance import accept_offer, decline_offer
from jobs.domain.quoting.draft_content import drop_draft
from jobs.domain.quoting.quotes import draft_change_order, draft_quote, issue_offer, rewrite_offer
from jobs.domain.workshop.commands import set_shop
from jobs.log.commands import CommandContext, CommandResult
from jobs.models import Event, Offer, Paper, Piece
from tests.shop_fixtures import Work, a_client, a_commission, a_maker, a_piece

pytestmark = pytest.mark.django_db
LINE = Line(description="Top as drawn", unit_price=Decimal(1000), tax_pct=Decimal(19))
Send = Callable[[CommandContext], CommandResult]


@pytest.fixture
def piece(work: Work) -> Piece:
    return a_piece(work.call(), a_commission(work.call(), a_client(work.call())), species="white oak")


@pytest.fixture
def number(piece: Piece) -> str:
    return str(piece.commission.number)


@pytest.fixture
def quote(work: Work, number: str) -> str:
    """Return the number of an issued quote."""
    draft_quote(work.call(), commission=number, lines=[LINE], deposit_pct=Decimal(0))
    issue_offer(work.call(), offer=f"{number}-Q1")
    return f"{number}-Q1"


def twice(work: Work, send: Send) -> None:
    """Send a request, and again with its key; then with the key and other content."""
    call = replace(work.call(), key="once", fingerprint="as typed")
    first = send(call)
    after = Event.objects.count()
    again = send(replace(call, now=work.call().now))
    assert (first.replayed, again.replayed) == (False, True)
    assert [e.seq for e in again.events] == [e.seq for e in first.events] != []
    with pytest.raises(KeyReused):
        send(replace(call, fingerprint="typed otherwise"))
    assert Event.objects.count() == after


def refused(send: Send, call: CommandContext, error: type[ShopError], field: str) -> ShopError:
    """Check that a request is refused at this field and writes nothing."""
    before = Event.objects.count()
    with pytest.raises(error) as caught:
        send(call)
    assert caught.value.field == field
    assert Event.objects.count() == before
    return caught.value


def accepts(quote: str, version: int = 1, **more: Any) -> Send:
    return lambda call: accept_offer(call, offer=quote, version=version, **more)


def declines(quote: str, version: int = 1, **more: Any) -> Send:
    return lambda call: decline_offer(call, offer=quote, version=version, **more)


class TestTwice:
    def test_a_quote_is_drafted_once(self, work: Work, number: str):
        twice(work, lambda call: draft_quote(call, commission=number, lines=[LINE]))
        assert Offer.objects.count() == 1

    def test_a_version_is_written_and_issued_once(self, work: Work, quote: str):
        twice(work, lambda call: rewrite_offer(call, offer=quote, words="A little later"))
        assert [o.version for o in Offer.objects.order_by("version")] == [1, 2]
        sent = replace(work.call(), key="issue", fingerprint="f")
        first = issue_offer(sent, offer=quote)
        assert issue_offer(sent, offer=quote).events == first.events
        assert Paper.objects.filter(kind=Paper.QUOTE).count() == 2

    def test_an_answer_is_given_once(self, work: Work, number: str, quote: str):
        twice(work, declines(quote, reason="too dear"))
        rewrite_offer(work.call(), offer=quote)
        issue_offer(work.call(), offer=quote)
        sent = replace(work.call(), key="yes", fingerprint="f")
        first = accept_offer(sent, offer=quote, version=2)
        assert accept_offer(sent, offer=quote, version=2).events == first.events
        assert Event.objects.filter(kind="offer_accepted").count() == 1

    def test_a_draft_is_dropped_once(self, work: Work, quote: str):
        rewrite_offer(work.call(), offer=quote)
        twice(work, lambda call: drop_draft(call, offer=quote))
        assert Offer.objects.get().step == "issued"

    def test_a_change_order_is_drafted_once(self, work: Work, number: str, quote: str):
        accept_offer(work.call(), offer=quote, version=1)
        twice(work, lambda c: draft_change_order(c, commission=number, words="A bevel", lines=[LINE]))
        assert Offer.objects.filter(kind=Offer.Kind.CHANGE).count() == 1

    def test_an_answer_that_came_too_late_stays_too_late(self, work: Work, quote: str):
        work.now += timedelta(days=400)
        late = replace(work.call(), key="late", fingerprint="f")
        for _ in range(2):
            with pytest.raises(Expired):
                accept_offer(late, offer=quote, version=1)
        assert Event.objects.filter(kind="offer_expired").count() == 1
        assert not Event.objects.filter(kind="offer_accepted").exists()


class TestRefused:
    def test_an_answered_quote_takes_no_other_answer(self, work: Work, quote: str):
        accept_offer(work.call(), offer=quote, version=1)
        for answer in (accepts(quote), declines(quote)):
            refused(answer, work.call(), AlreadyDone, "offer")
        refused(lambda c: rewrite_offer(c, offer=quote, words="x"), work.call(), WrongState, "commission")
        assert Offer.objects.get().step == "accepted"

    def test_an_older_and_a_version_to_come_take_none(self, work: Work, quote: str):
        rewrite_offer(work.call(), offer=quote)
        for answer in (accepts, declines):
            refused(answer(quote, 2), work.call(), NotYet, "version")
        issue_offer(work.call(), offer=quote)
        for answer in (accepts, declines):
            assert refused(answer(quote, 1), work.call(), Revised, "version").allowed == "2"

    def test_nobody_else_answers(self, work: Work, quote: str):
        other = a_client(work.call(), "Somebody Else")
        maker = a_maker()
        for answer in (accepts(quote, name="X"), declines(quote)):
            refused(answer, replace(work.call(), by=f"client:{other.id}"), Forbidden, "by")
            refused(answer, replace(work.call(), by=maker.id), Forbidden, "by")

    def test_somebody_else_does_not_put_down_that_it_is_over(self, work: Work, quote: str):
        other = a_client(work.call(), "Somebody Else")
        work.now += timedelta(days=400)
        refused(accepts(quote, name="X"), replace(work.call(), by=f"client:{other.id}"), Forbidden, "by")

    def test_a_client_types_a_name(self, work: Work, piece: Piece, quote: str):
        theirs = f"client:{piece.commission.client_id}"
        for name in ("", "  ", "x" * 500):
            refused(accepts(quote, name=name), replace(work.call(), by=theirs), Invalid, "name")
        accept_offer(replace(work.call(), by=theirs), offer=quote, version=1, name="Orla Fenwick")

    def test_what_changed_since_it_was_seen_is_not_answered(self, work: Work, piece: Piece, quote: str):
        piece.commission.refresh_from_db()
        seen = piece.commission.version
        for answer in (accepts(quote), declines(quote)):
            refused(answer, replace(work.call(), seen=seen - 1), Stale, "seen_version")
        accept_offer(replace(work.call(), seen=seen), offer=quote, version=1)

    def test_a_quote_in_another_currency_than_the_order_is_not_accepted(self, work: Work, quote: str):
        set_shop(work.call(), settings={"currency": "EUR"})
        told = refused(accepts(quote), work.call(), WrongState, "offer")
        assert "is in USD, the commission now in EUR" in told.detail
        decline_offer(work.call(), offer=quote, version=1)

    def test_a_declined_commission_is_not_ordered(self, work: Work, number: str, quote: str):
        move_commission(work.call(), commission=number, to="declined", reason="too far away")
        refused(accepts(quote), work.call(), WrongState, "commission")

    def test_what_is_issued_or_promised_for_a_day_gone_by_is_not_issued(self, work: Work, quote: str):
        refused(lambda call: issue_offer(call, offer=quote), work.call(), WrongState, "offer")
        today = work.now.date()
        rewrite_offer(work.call(), offer=quote, promise_on=today)
        work.now += timedelta(days=1)
        refused(lambda call: issue_offer(call, offer=quote), work.call(), Invalid, "promise_on")
        rewrite_offer(work.call(), offer=quote, promise_on=today + timedelta(days=1))
        issue_offer(work.call(), offer=quote)

    @pytest.mark.parametrize("days, held", [(30, True), (31, False)])
    def test_it_holds_for_its_days_and_not_one_more(self, work: Work, quote: str, days: int, held: bool):
        assert Offer.objects.get().valid_days == 30
        work.now += timedelta(days=days)
        if held:
            decline_offer(work.call(), offer=quote, version=1)
            return
        with pytest.raises(Expired):
            decline_offer(work.call(), offer=quote, version=1)
        assert Offer.objects.get().step == "expired"
