"""Quotes: proposed from calculations and rates, revised, accepted once, with what follows in one command."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from calcs.kit.errors import CalcError
from calcs.money.invoice import Amount, Invoice, invoice_sums
from jobs.core.errors import (
    AlreadyDone,
    Declined,
    Expired,
    Forbidden,
    Invalid,
    NotYet,
    RestsOnPaper,
    Revised,
    ShopError,
    WrongState,
)
from jobs.core.units import Units
from jobs.domain.billing.balances import balance
from jobs.domain.billing.invoice_commands import credit_invoice, issue_deposit, issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.prices import Line
from jobs.domain.commissions.piece_commands import change_piece
from jobs.domain.quoting.acceptance import accept_offer, decline_offer
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.drafts import drop_draft
from jobs.domain.quoting.proposals import words_for
from jobs.domain.quoting.quotes import draft_change_order, draft_quote, issue_offer, rewrite_offer
from jobs.domain.workshop.commands import set_shop
from jobs.log.private_texts import read
from jobs.log.rebuild import compare
from jobs.models import Commission, Event, Offer, Paper, Piece
from tests.shop_fixtures import (
    INCHES,
    Work,
    a_call,
    a_client,
    a_commission,
    a_maker,
    a_piece,
    accept_bare,
    the_paper,
)

pytestmark = [pytest.mark.django_db, pytest.mark.takes(11)]
OAK, WALNUT = "white oak", "black walnut"


@pytest.fixture
def piece(work: Work) -> Piece:
    """Return an oak top of a new commission, in a shop with prices."""
    rates = {
        "hourly_rate": "60", "overhead_pct": "10", "profit_pct": "20", "tax_pct": "19", "deposit_pct": "50",
        "lumber_prices": {OAK: "8", WALNUT: "14.50"}, "finish_prices": {"hard-wax-oil": "40"},
    }  # fmt: skip
    set_shop(work.call(), settings=rates)
    return a_piece(work.call(), a_commission(work.call(), a_client(work.call())), species=OAK)


def drafted(work: Work, piece: Piece, **more: Any) -> Offer:
    given = {"hours": {piece.number: Decimal(20)}, **more}
    draft_quote(work.call(), commission=piece.commission.number, **given)
    return Offer.objects.get(number=f"{piece.commission.number}-Q1")


def issued(work: Work, piece: Piece, **more: Any) -> Offer:
    offer = drafted(work, piece, **more)
    issue_offer(work.call(), offer=offer.number)
    return newest(offer)


def newest(offer: Offer) -> Offer:
    return Offer.objects.filter(number=offer.number).latest("version")


def accept(work: Work, offer: Offer, **more: Any) -> Any:
    return accept_offer(work.call(), offer=offer.number, version=offer.version, **more)


def kinds(after: int) -> list[str]:
    return list(Event.objects.filter(seq__gt=after).order_by("seq").values_list("kind", flat=True))


def head() -> int:
    return Event.objects.latest("seq").seq


def a_line(price: str, quantity: str = "1", **more: Any) -> Line:
    given = {"description": "Top as drawn", "tax_pct": Decimal(19), **more}
    return Line(unit_price=Decimal(price), quantity=Decimal(quantity), **given)


def test_a_price_is_proposed_from_lumber_hours_overhead_and_profit(work: Work, piece: Piece):
    """Worked by hand: (bf of whole boards x 8 + 20 h x 60) x 1.10 x 1.20; three boards of 11 ft
    hold two strips each, 10.5 board feet a board."""
    line = drafted(work, piece).lines.get()
    wood = Decimal("31.5") * 8
    overhead = ((wood + 1200) * Decimal("0.1")).quantize(Decimal("0.01"))
    profit = ((wood + 1200 + overhead) * Decimal("0.2")).quantize(Decimal("0.01"))
    assert line.unit_price == wood + 1200 + overhead + profit
    assert line.tax_pct == 19
    assert f"{OAK}," in read(line.description_ref)


@pytest.mark.parametrize(
    "units, ordered",
    [
        (INCHES, '72" × 812 mm (≈ 31 31/32") × 1 1/2"'),  # 812 / 25.4 = 31.9685; 31 31/32 = 31.96875
        (Units(length="mm"), '72" (1828.8 mm) × 812 mm × 1 1/2" (38.1 mm)'),
    ],
)
def test_a_size_stands_in_the_unit_in_which_it_was_ordered(work: Work, units: Units, ordered: str):
    asked = {"length": "6'", "width": "812 mm", "thickness": '1 1/2"', "species": OAK}
    piece = a_piece(work.call(), a_commission(work.call(), a_client(work.call())), **asked)
    assert words_for(piece, "Top", units).splitlines()[1].startswith(f"{ordered}, {OAK}")


def test_another_wood_costs_what_its_lumber_costs_more(work: Work, piece: Piece):
    """(14.50 - 8) for each board foot of the three boards, with overhead and profit on it."""
    other = Alternative(piece=piece.number, species=WALNUT)
    one = drafted(work, piece, alternatives=[other]).alternatives.get()
    feet = Decimal("31.5")
    expected = feet * Decimal("6.5") * Decimal("1.1") * Decimal("1.2")
    assert abs(one.difference - expected) <= Decimal("0.03")
    assert read(one.description_ref) == "Desk top: in black walnut instead of white oak"


def test_without_a_price_of_both_the_difference_is_asked_for(work: Work, piece: Piece):
    other = Alternative(piece=piece.number, finish="oil-varnish")
    with pytest.raises(NotYet) as refused:
        drafted(work, piece, alternatives=[other])
    assert refused.value.field == "alternatives/0/difference"
    assert "oil varnish" in str(refused.value)  # as it is called, not its key
    assert not Offer.objects.exists()


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


@pytest.mark.parametrize("net", ["1000", "999.99", "0.03", "1234.57"])
@pytest.mark.parametrize("rate", ["0", "7", "19", "8.875"])
def test_deposit_and_final_invoice_add_up_to_the_price(work: Work, piece: Piece, net: str, rate: str):
    accept(work, issued(work, piece, lines=[a_line(net, tax_pct=Decimal(rate))]))
    number = piece.commission.number
    deposit = Paper.objects.get(what="deposit").invoice
    record_payment(work.call(), commission=number, amount=deposit.total)
    final = the_paper(issue_invoice(work.call(), commission=number)).invoice
    priced = Amount(net=Decimal(net), rate_pct=Decimal(rate))
    whole = invoice_sums(Invoice(lines=(priced,)))
    assert deposit.total + final.total == whole.gross
    assert deposit.tax + final.tax == whole.tax
    assert (final.paid_before, final.due) == (0, final.total)
    sums = balance(piece.commission)
    assert (sums.invoiced, sums.owed) == (whole.gross, final.total)


def test_what_was_paid_beyond_the_deposit_comes_off_the_final_invoice(work: Work, piece: Piece):
    accept(work, issued(work, piece, lines=[a_line("1000")]))
    number = piece.commission.number
    record_payment(work.call(), commission=number, amount=Decimal("695.00"))
    final = the_paper(issue_invoice(work.call(), commission=number)).invoice
    assert (final.total, final.paid_before, final.due) == (595, 100, 495)
    assert balance(piece.commission).owed == 495


def test_a_deposit_invoice_is_credited_before_the_one_that_takes_it_off_only(work: Work, piece: Piece):
    accept(work, issued(work, piece, lines=[a_line("1000")]))
    number = piece.commission.number
    deposit = Paper.objects.get(what="deposit")
    final = the_paper(issue_invoice(work.call(), commission=number))
    with pytest.raises(RestsOnPaper):
        credit_invoice(work.call(), paper=deposit.number, reason="wrong")
    credit_invoice(work.call(), paper=final.number, reason="wrong")
    credit_invoice(work.call(), paper=deposit.number, reason="wrong")
    assert the_paper(issue_invoice(work.call(), commission=number)).invoice.total == 1190


def test_deposits_do_not_come_to_more_than_the_price(work: Work, piece: Piece):
    accept(work, issued(work, piece, lines=[a_line("1000")]))
    number = piece.commission.number
    issue_deposit(work.call(), commission=number, pct=Decimal(30))
    with pytest.raises(Invalid):
        issue_deposit(work.call(), commission=number, pct=Decimal(30))
    assert the_paper(issue_invoice(work.call(), commission=number)).invoice.total == 238


def test_a_piece_can_still_be_changed_after_its_deposit_is_asked(work: Work, piece: Piece):
    accept(work, issued(work, piece))
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"label": "Desk top, oiled"})
    assert Piece.objects.get().revision == 2


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
    assert Commission.objects.get().step == "quoted"


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


BAD: dict[str, dict[str, Any]] = {
    "valid_days": {"valid_days": 0},
    "deposit_pct": {"deposit_pct": Decimal(101)},
    "hours": {"hours": {"2026-999-1": Decimal(2)}},
    "lines": {"lines": [a_line("100", "-1")]},
    "lines/0/unit_price": {"lines": [a_line("-5")]},
    "alternatives/0/species": {"alternatives": [Alternative(piece="2026-001-1", species="plastic")]},
    "alternatives/0/piece": {"alternatives": [Alternative(piece="no", species=WALNUT)]},
}


@pytest.mark.parametrize("field", BAD)
def test_a_bad_quote_is_refused_and_nothing_written(work: Work, piece: Piece, field: str):
    before = head()
    with pytest.raises((ShopError, CalcError)) as refused:
        drafted(work, piece, **BAD[field])
    assert refused.value.field == field
    assert head() == before


def test_choices_that_exclude_one_another_are_refused(work: Work, piece: Piece):
    others = [Alternative(piece=piece.number, species=s, difference=Decimal(5)) for s in (WALNUT, "cherry")]
    offer = issued(work, piece, alternatives=others)
    for chosen in ([1, 2], [3], [1, 1]):
        with pytest.raises(Invalid) as refused:
            accept(work, offer, chosen=chosen)
        assert refused.value.field == "chosen"
    accept(work, offer, chosen=[2])
    assert "cherry" in Piece.objects.get().inputs["species"]


def test_a_change_order_changes_price_and_date_when_agreed(work: Work, piece: Piece):
    accept(work, issued(work, piece, lines=[a_line("1000")]))
    number, later = piece.commission.number, work.now.date() + timedelta(days=120)
    lines = [a_line("150", description="Bevelled edge"), a_line("40", "-1", description="No grommet")]
    given = {"words": "A bevel all round, two weeks longer", "lines": lines, "promise_on": later}
    draft_change_order(work.call(), commission=number, **given)
    issue_offer(work.call(), offer=f"{number}-X1")
    commission = Commission.objects.get()
    assert (commission.price_lines.count(), commission.promise_on) == (1, None)
    accept_offer(work.call(), offer=f"{number}-X1", version=1, name="Orla")
    commission.refresh_from_db()
    assert commission.promise_on == later
    assert sum(li.quantity * li.unit_price for li in commission.price_lines.all()) == 1110
    final = the_paper(issue_invoice(work.call(), commission=number)).invoice
    assert final.total + Paper.objects.get(what="deposit").invoice.total == Decimal("1320.90")
    draft_change_order(work.call(), commission=number, **given)
    issue_offer(work.call(), offer=f"{number}-X2")
    with pytest.raises(RestsOnPaper):
        accept_offer(work.call(), offer=f"{number}-X2", version=1, name="Orla")


def test_a_change_order_of_the_date_alone_needs_no_lines(work: Work, piece: Piece):
    accept(work, issued(work, piece))
    number, later = piece.commission.number, work.now.date() + timedelta(days=200)
    with pytest.raises(Invalid):
        draft_change_order(work.call(), commission=number, words="nothing")
    draft_change_order(work.call(), commission=number, words="The oak comes later", promise_on=later)
    issue_offer(work.call(), offer=f"{number}-X1")
    accept_offer(work.call(), offer=f"{number}-X1", version=1)
    assert Commission.objects.get().promise_on == later


def test_a_quote_is_for_what_is_not_ordered_yet_and_a_change_for_what_is(work: Work, piece: Piece):
    number = piece.commission.number
    with pytest.raises(WrongState):
        draft_change_order(work.call(), commission=number, words="more", lines=[a_line("5")])
    offer = issued(work, piece)
    with pytest.raises(AlreadyDone):
        draft_quote(work.call(), commission=number)
    accept_bare(work.call(), commission=number)
    with pytest.raises(WrongState):
        accept(work, offer)


def test_a_draft_is_not_accepted(work: Work, piece: Piece):
    with pytest.raises(NotYet):
        accept(work, drafted(work, piece))


class TestDraft:
    def test_it_is_thrown_away_and_another_is_written(self, work: Work, piece: Piece):
        offer = drafted(work, piece, lines=[a_line("1000")], alternatives=[])
        drop_draft(work.call(), offer=offer.number)
        assert not Offer.objects.exists()
        assert compare() == []
        assert drafted(work, piece).number == offer.number, "it was never given out"

    def test_of_a_next_version_the_issued_one_stays(self, work: Work, piece: Piece):
        offer = issued(work, piece, lines=[a_line("1000")])
        rewrite_offer(work.call(), offer=offer.number, words="A little later")
        drop_draft(work.call(), offer=offer.number)
        assert [(o.version, o.step) for o in Offer.objects.all()] == [(1, "issued")]
        accept(work, offer)

    def test_what_was_issued_is_not(self, work: Work, piece: Piece):
        offer = issued(work, piece)
        with pytest.raises(WrongState, match="issued"):
            drop_draft(work.call(), offer=offer.number)

    def test_it_is_the_owners(self, work: Work, piece: Piece):
        offer = drafted(work, piece)
        with pytest.raises(Forbidden):
            drop_draft(a_call(a_maker(), work.now), offer=offer.number)
