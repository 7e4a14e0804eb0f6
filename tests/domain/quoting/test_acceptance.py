"""A quote is accepted once, with what follows in one command; the client hears what has changed since."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from calcs.money.invoice import Amount, Invoice, invoice_sums
from jobs.core.errors import AlreadyDone, Declined, Expired, Forbidden, Invalid, NotYet, Revised
from jobs.domain.quoting.acceptance import accept_offer, decline_offer
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.quotes import issue_offer, rewrite_offer
from jobs.log.private_texts import read
from jobs.models import Commission, Event, Offer, Paper, Piece
from tests.domain.quoting.offers import WALNUT, a_line, accept, drafted, head, issued, newest
from tests.shop_fixtures import Work, a_client

pytestmark = [pytest.mark.django_db, pytest.mark.takes(3)]


def kinds(after: int) -> list[str]:
    return list(Event.objects.filter(seq__gt=after).order_by("seq").values_list("kind", flat=True))


def test_acceptance_does_everything_in_one_command(work: Work, piece: Piece):
    promise = work.now.date() + timedelta(days=90)
    more = {"alternatives": [Alternative(piece=piece.number, species=WALNUT)], "promise_on": promise}
    offer = issued(work, piece, lines=[a_line("1000")], **more)
    extra = offer.alternatives.get().difference
    before = head()
    done = accept(work, offer, chosen=[1], name="Orla Fenwick")
    assert kinds(before)[:6] == [
        "offer_accepted", "piece_changed", "price_set", "commission_changed", "commission_moved",
        "paper_issued",
    ]  # fmt: skip
    assert len({e.command_id for e in done.events}) == 1
    piece.refresh_from_db()
    commission = Commission.objects.get()
    assert (piece.inputs["species"], commission.step, commission.promise_on) == (WALNUT, "accepted", promise)
    assert sum(li.quantity * li.unit_price for li in commission.price_lines.all()) == 1000 + extra
    deposit = Paper.objects.get(kind=Paper.INVOICE)
    whole = invoice_sums(Invoice(lines=(Amount(net=1000 + extra, rate_pct=Decimal(19)),))).gross
    assert (deposit.number, deposit.what) == ("I2026-0001", "deposit")
    assert abs(deposit.invoice.total - whole / 2) <= Decimal("0.10")
    assert newest(offer).chosen == [1]


def test_a_revision_between_look_and_click_is_told_with_the_difference(work: Work, piece: Piece):
    shown = issued(work, piece, lines=[a_line("1000")])
    rewrite_offer(work.call(), offer=shown.number, lines=[a_line("1100")], promise_on=date(2027, 1, 5))
    accept_before = newest(shown)
    assert accept_before.step == "draft"  # a draft takes nothing back
    issue_offer(work.call(), offer=shown.number)
    before = head()
    with pytest.raises(Revised) as refused:
        accept(work, shown)
    told = refused.value.extra["difference"]
    assert (told["version"], told["total_before"], told["total_after"]) == (2, "1190.00", "1309.00")
    [line] = told["lines_changed"]
    assert (line["amount_before"], line["amount"]) == ("1000.00", "1100.00")
    assert told["lines_new"] == told["lines_gone"] == []
    assert told["promise_after"] == "2027-01-05"
    assert head() == before
    steps = list(Offer.objects.order_by("version").values_list("step", flat=True))
    assert steps == ["superseded", "issued"]


def test_accepting_twice_is_one_acceptance(work: Work, piece: Piece):
    offer = issued(work, piece)
    call = replace(work.call(), key="once", fingerprint="f")
    given = {"offer": offer.number, "version": 1}
    first = accept_offer(call, **given)
    second = accept_offer(replace(call, now=work.call().now), **given)
    assert second.replayed and [e.seq for e in first.events] == [e.seq for e in second.events]
    with pytest.raises(AlreadyDone):
        accept(work, offer)
    assert Paper.objects.filter(kind=Paper.INVOICE).count() == 1


def test_an_expired_quote_becomes_so_when_acted_on_and_can_be_revised(work: Work, piece: Piece):
    offer = issued(work, piece, valid_days=5)
    work.go(days=5)
    before = head()
    work.go(days=1)
    with pytest.raises(Expired):
        accept(work, offer)
    assert kinds(before) == ["offer_expired"]
    with pytest.raises(Expired):
        accept(work, offer)
    assert kinds(before) == ["offer_expired"]
    rewrite_offer(work.call(), offer=offer.number)
    issue_offer(work.call(), offer=offer.number)
    accept(work, newest(offer))
    steps = list(Offer.objects.order_by("version").values_list("step", flat=True))
    assert steps == ["expired", "accepted"]


def test_on_its_last_day_a_quote_still_holds(work: Work, piece: Piece):
    offer = issued(work, piece, valid_days=5)
    work.go(days=5)
    accept(work, offer)
    assert newest(offer).step == "accepted"


def test_a_declined_quote_may_say_why_and_is_not_accepted(work: Work, piece: Piece):
    offer = issued(work, piece)
    client = f"client:{piece.commission.client_id}"
    call = replace(work.call(), by=client)
    decline_offer(call, offer=offer.number, version=1, reason="too dear")
    with pytest.raises(Declined):
        accept(work, offer)
    assert read(newest(offer).reason_ref) == "too dear"
    assert Commission.objects.get().step == "declined"


def test_a_client_answers_only_what_is_theirs_and_types_a_name(work: Work, piece: Piece, maker: Any):
    offer = issued(work, piece)
    other = a_client(work.call(), "Somebody Else")
    for by, error in ((f"client:{other.id}", Forbidden), (maker.id, Forbidden)):
        with pytest.raises(error):
            accept_offer(replace(work.call(), by=by), offer=offer.number, version=1, name="X")
    theirs = replace(work.call(), by=f"client:{piece.commission.client_id}")
    with pytest.raises(Invalid) as refused:
        accept_offer(theirs, offer=offer.number, version=1)
    assert refused.value.field == "name"
    accept_offer(theirs, offer=offer.number, version=1, name="Orla \U0001f333 \u05d0\u05d5\u05e8\u05dc\u05d4")
    assert newest(offer).decided_by == theirs.by
    assert "Orla" not in Event.objects.get(kind="offer_accepted").body


def test_choices_that_exclude_one_another_are_refused(work: Work, piece: Piece):
    others = [Alternative(piece=piece.number, species=s, difference=Decimal(5)) for s in (WALNUT, "cherry")]
    offer = issued(work, piece, alternatives=others)
    for chosen in ([1, 2], [3], [1, 1]):
        with pytest.raises(Invalid) as refused:
            accept(work, offer, chosen=chosen)
        assert refused.value.field == "chosen"
    accept(work, offer, chosen=[2])
    assert "cherry" in Piece.objects.get().inputs["species"]


def test_a_draft_is_not_accepted(work: Work, piece: Piece):
    with pytest.raises(NotYet):
        accept(work, drafted(work, piece))
