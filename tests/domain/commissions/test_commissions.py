"""Commissions: numbers, moves by hand and by milestones, prices."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from jobs.core.errors import Forbidden, Invalid, NotFound, RestsOnPaper, WrongState
from jobs.domain.billing.balances import account
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.prices import Line, set_price
from jobs.domain.clients.commands import add_client, change_client
from jobs.domain.commissions.commissions import (
    change_commission,
    heard_before,
    move_commission,
    open_commission,
    title_from,
)
from jobs.domain.commissions.piece_commands import remove_piece
from jobs.domain.overviews.commission import commission_view
from jobs.domain.stages.commands import reopen_stage
from jobs.log.private_texts import read
from jobs.log.rebuild import compare
from jobs.models import Commission, PrivateText
from tests.shop_fixtures import (
    SHORT,
    Work,
    a_client,
    a_commission,
    a_maker,
    a_piece,
    a_price,
    accept_bare,
    issue_checklist,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def commission(work):
    return a_commission(work.call(), a_client(work.call()))


def step(piece_or_commission):
    number = getattr(piece_or_commission, "commission", piece_or_commission).number
    return Commission.objects.get(number=number).step


class TestClients:
    @pytest.mark.parametrize(
        "given, field",
        [
            ({"name": " "}, "name"),
            ({"name": "x" * 201}, "name"),
            ({"name": "a\x00"}, "name"),
            ({"name": "\ud800"}, "name"),
            ({"name": "Orla \u202eyalB"}, "name"),
            ({"name": "Orla\nFenwick"}, "name"),
            ({"name": "Orla\x1b[2J"}, "name"),
            ({"name": "Orla", "address": "12 Harbour Steps\nAldersey\u2066"}, "address"),
            ({"name": "Orla", "email": "at example"}, "email"),
            ({"name": "Orla", "phone": "5" * 61}, "phone"),
        ],
    )
    def test_what_makes_no_sense_is_refused(self, work, given, field):
        with pytest.raises(Invalid) as refused:
            add_client(work.call(), **given)
        assert refused.value.field == field
        assert not PrivateText.objects.exists()

    @pytest.mark.parametrize("name", ["דוד לוי", "أحمد \u200fعلي", "Zoë \U0001f469\u200d\U0001f527"])
    def test_a_name_of_any_letters_is_kept_as_it_is(self, work, name):
        assert read(a_client(work.call(), name=name, address="Harbour Steps\nAldersey").name_ref) == name

    def test_what_is_not_given_stays_and_what_is_emptied_goes(self, work):
        client = a_client(work.call(), phone="555 0100", email="orla@fenwick.example")
        change_client(work.call(), client=client.id, phone="")
        changed = type(client).objects.get()
        assert changed.phone_ref is None and changed.email_ref == client.email_ref

    def test_nothing_to_change_is_refused(self, work):
        with pytest.raises(Invalid, match="nothing to change"):
            change_client(work.call(), client=a_client(work.call()).id)


class TestNumbers:
    def test_they_count_within_the_year_of_the_shops_clock(self, work):
        client = a_client(work.call())
        work.now = datetime(2026, 12, 31, 23, 0, tzinfo=UTC)
        numbers = [a_commission(work.call(), client).number for _ in range(2)]
        work.now = datetime(2027, 1, 1, 0, 0, tzinfo=UTC)
        assert [*numbers, a_commission(work.call(), client).number] == ["2026-001", "2026-002", "2027-001"]

    def test_a_title_is_needed(self, work):
        with pytest.raises(Invalid, match="title"):
            open_commission(work.call(), client=a_client(work.call()).id, title="")

    def test_an_unknown_client_or_commission_is_not_found(self, work):
        with pytest.raises(NotFound):
            open_commission(work.call(), client=7, title="Desk")
        with pytest.raises(NotFound):
            change_commission(work.call(), commission="2026-099", title="Desk")


def agree(work, commission):
    a_price(work.call(), commission)
    change_commission(work.call(), commission=commission.number, promise_on=date(2026, 9, 1))


class TestMoves:
    @pytest.mark.parametrize("path", [["accepted"], ["quoted", "accepted"], ["quoted", "cancelled"]])
    def test_by_hand(self, work, commission, path):
        agree(work, commission)
        for to in path:
            move_commission(work.call(), commission=commission.number, to=to, reason="so agreed")
        assert step(commission) == path[-1]

    @pytest.mark.parametrize("to", ["in the shop", "ready", "delivered", "closed", "enquiry", "", "x"])
    def test_the_others_follow_from_stages(self, work, commission, to):
        with pytest.raises(Invalid, match="no such move"):
            move_commission(work.call(), commission=commission.number, to=to)

    @pytest.mark.parametrize("to", ["quoted", "accepted", "declined"])
    def test_from_where_it_stands_only(self, work, commission, to):
        accept_bare(work.call(), commission=commission.number)
        with pytest.raises(WrongState, match="is accepted; it cannot become") as refused:
            move_commission(work.call(), commission=commission.number, to=to, reason="so agreed")
        assert refused.value.allowed == "in the shop, cancelled"

    def test_cancelling_needs_a_reason_and_declining_none(self, work, commission):
        with pytest.raises(Invalid, match="say why"):
            move_commission(work.call(), commission=commission.number, to="cancelled", reason=" ")
        move_commission(work.call(), commission=commission.number, to="declined")
        assert step(commission) == "declined"

    def test_work_and_marks_move_it_along(self, work):
        piece = work.accepted(**SHORT)
        work.do(piece, "survey")
        assert step(piece) == "accepted"
        work.do(piece, "glue-up")
        assert step(piece) == "in the shop"
        work.do_until(piece, "wrap")
        assert step(piece) == "ready"
        issue_checklist(work.call(), commission=piece.commission.number)
        work.do(piece, "deliver")
        assert step(piece) == "delivered"

    def test_it_waits_for_the_last_piece(self, work):
        first = work.accepted(**SHORT)
        second = a_piece(work.call(), first.commission, **SHORT)
        work.do_until(first, "wrap")
        assert step(first) == "in the shop"
        work.do_until(second, "wrap")
        assert step(first) == "ready"

    def test_it_moves_when_the_piece_it_waited_for_is_removed(self, work):
        first = work.accepted(**SHORT)
        second = a_piece(work.call(), first.commission, **SHORT)
        work.do_until(first, "wrap")
        remove_piece(work.call(), piece=second.number)
        assert step(first) == "ready"

    def test_a_reopened_mark_takes_it_back(self, work):
        piece = work.accepted(**SHORT)
        work.do_until(piece, "wrap")
        reopen_stage(work.call(), piece=piece.number, stage="wrap", reason="a scratch")
        assert step(piece) == "in the shop"
        work.finish(piece, "wrap")
        assert step(piece) == "ready"
        assert compare() == []

    def test_closed_is_reopened_by_its_last_stage_only(self, work):
        piece = delivered(work)
        number = piece.commission.number
        record_payment(work.call(), commission=number, amount=Decimal(1100))
        issue_invoice(work.call(), commission=number)
        work.do(piece, "paid", "close")
        assert step(piece) == "closed"
        with pytest.raises(WrongState):
            reopen_stage(work.call(), piece=piece.number, stage="paid", reason="cheque bounced")
        reopen_stage(work.call(), piece=piece.number, stage="close", reason="cheque bounced")
        assert step(piece) == "delivered"

    def test_a_route_with_one_mark_only_goes_all_the_way(self, work, settings, tmp_path):
        (tmp_path / "one.toml").write_text(
            'key = "one"\ntitle = "One mark"\n[[stage]]\nkey = "all"\ntitle = "All"\nmarks = "delivered"\n'
        )
        settings.ROUTES_DIR = tmp_path
        piece = work.accepted(route="one", label="Shelf")
        work.do(piece, "all")
        assert step(piece) == "delivered"


def delivered(work):
    piece = work.accepted(**SHORT)
    a_price(work.call(), piece.commission)
    work.do_until(piece, "wrap")
    issue_checklist(work.call(), commission=piece.commission.number)
    work.do(piece, "deliver")
    return piece


class TestPrice:
    def test_lines_and_sums(self, work, commission):
        lines = [
            Line(
                description="Top", unit_price=Decimal("33.333"), quantity=Decimal(3), tax_pct=Decimal("7.5")
            ),
            Line(description="Delivery", unit_price=Decimal(50), tax_category="O"),
        ]
        set_price(work.call(), commission=commission.number, lines=lines)
        commission.refresh_from_db()
        price = commission_view(commission, now=work.now, with_money=True)["money"]["price"]
        # 3 x 33.333 = 99.999, rounded 100.00; 7.5 % of it 7.50; 150.00 + 7.50.
        assert [line["amount"] for line in price["lines"]] == [Decimal("100.00"), Decimal("50.00")]
        assert [str(price[name]) for name in ("net", "tax", "total")] == ["150.00", "7.50", "157.50"]

    def test_new_lines_take_the_place_of_the_old(self, work, commission):
        a_price(work.call(), commission)
        a_price(work.call(), commission)
        assert commission.price_lines.count() == 1
        assert compare() == []

    @pytest.mark.parametrize(
        "wrong, field",
        [
            ({"description": " "}, "description"),
            ({"quantity": Decimal(0)}, "quantity"),
            ({"quantity": Decimal("1.2345")}, "quantity"),
            ({"quantity": Decimal("NaN")}, "quantity"),
            ({"unit_price": Decimal("-1")}, "unit_price"),
            ({"unit_price": Decimal("Infinity")}, "unit_price"),
            ({"unit_price": Decimal("1.00001")}, "unit_price"),
            ({"unit_code": "XX"}, "unit_code"),
            ({"tax_category": "Q"}, "tax_category"),
            ({"tax_pct": Decimal(101)}, "tax_pct"),
            ({"tax_category": "E", "tax_pct": Decimal(10)}, "tax_pct"),
        ],
    )
    def test_a_line_that_makes_no_sense_is_named(self, work, commission, wrong, field):
        good = Line(description="Top", unit_price=Decimal(10))
        bad = Line(**{"description": "Top", "unit_price": Decimal(10)} | wrong)
        with pytest.raises(Invalid) as refused:
            set_price(work.call(), commission=commission.number, lines=[good, bad])
        assert refused.value.field == f"lines/1/{field}"

    @pytest.mark.parametrize("count", [0, 201])
    def test_so_many_lines_and_no_more(self, work, commission, count):
        lines = [Line(description="Top", unit_price=Decimal(10))] * count
        with pytest.raises(Invalid, match="needs lines"):
            set_price(work.call(), commission=commission.number, lines=lines)

    def test_an_invoiced_price_stays(self, work):
        piece = delivered(work)
        issue_invoice(work.call(), commission=piece.commission.number)
        with pytest.raises(RestsOnPaper, match="I2026-0001"):
            a_price(work.call(), piece.commission)


class TestMoney:
    @pytest.mark.parametrize("amount", ["0", "-5", "0.001", "100000000.01", "NaN", "Infinity"])
    def test_an_amount_is_positive_and_in_cents(self, work, amount):
        piece = work.accepted(**SHORT)
        with pytest.raises(Invalid) as refused:
            record_payment(work.call(), commission=piece.commission.number, amount=Decimal(amount))
        assert refused.value.field == "amount"

    def test_it_is_not_received_in_the_future(self, work):
        piece = work.accepted(**SHORT)
        with pytest.raises(Invalid, match="future"):
            record_payment(
                work.call(), commission=piece.commission.number, amount=Decimal(5),
                received_on=datetime(2026, 3, 3).date(),
            )  # fmt: skip

    def test_what_is_owed(self, work):
        piece = delivered(work)
        number = piece.commission.number
        assert not account(piece.commission).invoices
        record_payment(work.call(), commission=number, amount=Decimal("100.10"), what="deposit")
        issue_invoice(work.call(), commission=number)
        assert account(piece.commission).owed == Decimal("999.90")
        record_payment(work.call(), commission=number, amount=Decimal("999.90"))
        assert account(piece.commission).owed == 0

    def test_makers_neither_change_nor_see_it(self, work):
        piece = delivered(work)
        maker, number = Work(a_maker(), now=work.now), piece.commission.number
        for verb in (
            lambda: a_price(maker.call(), piece.commission),
            lambda: issue_invoice(maker.call(), commission=number),
            lambda: record_payment(maker.call(), commission=number, amount=Decimal(5)),
        ):
            with pytest.raises(Forbidden):
                verb()
        issue_invoice(work.call(), commission=number)
        view = commission_view(piece.commission, now=work.now, with_money=False)
        assert "money" not in view and [p["kind"] for p in view["papers"]] == ["delivery-checklist"]


class TestEnquiries:
    ASKED = {
        "asks_for": "Dining table for eight, from one log if you can", "budget": Decimal("3500"),
        "wanted_on": date(2027, 3, 1), "heard": "the fair",
    }  # fmt: skip

    def opened(self, work, **asked):
        done = open_commission(work.call(), client=a_client(work.call()).id, **asked)
        return Commission.objects.get(number=done.events[0].data["number"])

    def test_it_holds_their_words_budget_day_and_origin(self, work):
        found = self.opened(work, **self.ASKED)
        assert (found.budget, found.budget_currency, found.wanted_on) == (3500, "USD", date(2027, 3, 1))
        assert found.promise_on is None, "wanted is not promised"
        assert read(found.title_ref) == "Dining table for eight"
        assert read(found.asks_for_ref) == self.ASKED["asks_for"] and read(found.heard_ref) == "the fair"
        view = commission_view(found, now=work.now, with_money=False)
        assert view["budget"] is None, "money is the owner's"

    def test_a_change_replaces_what_it_names(self, work):
        number = self.opened(work, **self.ASKED).number
        change_commission(work.call(), commission=number, budget=None, asks_for="For ten")
        found = Commission.objects.get()
        assert (found.budget, found.budget_currency, read(found.asks_for_ref)) == (None, "", "For ten")
        assert (found.wanted_on, read(found.heard_ref)) == (date(2027, 3, 1), "the fair")

    @pytest.mark.parametrize(
        "wrong, field",
        [
            ({"title": "", "asks_for": " "}, "title"),
            ({"budget": Decimal("-1")}, "budget"),
            ({"budget": Decimal("0.005")}, "budget"),
            ({"budget": Decimal("NaN")}, "budget"),
            ({"budget": Decimal(10_000_001)}, "budget"),
            ({"asks_for": "x" * 4001, "title": "Table"}, "asks_for"),
            ({"heard": "two\nlines"}, "heard"),
        ],
    )
    def test_what_makes_no_sense_is_refused(self, work, wrong, field):
        with pytest.raises(Invalid) as refused:
            self.opened(work, **self.ASKED | wrong)
        assert refused.value.field == field and not Commission.objects.exists()

    @pytest.mark.parametrize(
        "words, title",
        [
            ("oak desk", "Oak desk"),
            ("A 6 ft. table in walnut. For the hall", "A 6 ft. table in walnut"),
            ("6 ft. table in walnut, for the hall", "6 ft. table in walnut"),
            ("Shelf, as the one at the fair", "Shelf, as the one at the fair"),
            ("Top for a reception desk\nwith a cable hole", "Top for a reception desk"),
            ("a table that seats all of the choir and the organist at the long end", ""),
            ("x" * 90, "X" + "x" * 59),
        ],
    )
    def test_without_a_title_it_is_called_by_their_first_words(self, words, title):
        found = title_from(words)
        assert found == (title or "A table that seats all of the choir and the organist at the")
        assert len(found) <= 60

    def test_how_they_heard_is_offered_again_the_newest_first(self, work):
        for heard in ("the fair", "a neighbour", "the fair", ""):
            self.opened(work, asks_for="Table", heard=heard)
        assert heard_before() == ["the fair", "a neighbour"]
