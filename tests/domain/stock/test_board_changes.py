"""What was typed of a board is changed; what stands on record stays."""

from decimal import Decimal

import pytest

from calcs.kit.errors import CalcError
from calcs.kit.units import inches
from jobs.core.errors import Forbidden, Invalid, WrongState
from jobs.domain.stock.boards import change_board, read_moisture, reserve_board, use_board, write_off_board
from jobs.domain.stock.offcuts import cut_offcut
from jobs.domain.stock.queries import board_views
from jobs.log.rebuild import compare
from jobs.models import Event
from tests.domain.stock.rack import a_board, again
from tests.shop_fixtures import INCHES, a_maker

pytestmark = pytest.mark.django_db


def test_what_was_typed_of_a_free_board_is_changed_and_the_rest_stays(work):
    board = a_board(work, price="61.50", note="from the barn")
    read_moisture(work.call(), board=1, pct="8.5", units=INCHES)
    change_board(work.call(), board=1, units=INCHES, species="cherry", width="7 1/4", price="58")
    board = again(board)
    assert (board.species, board.width_len, board.length_len) == ("black cherry", inches("29/4"), inches(96))
    assert board.typed == {"thickness": "2 in", "width": "7 1/4 in", "length": "96 in"}
    assert (board.price, board.readings.get().pct) == (Decimal("58"), Decimal("8.5"))
    assert board_views([board], with_money=True)[0]["note"] == "from the barn"
    change_board(work.call(), board=1, units=INCHES, price="", note="")
    assert (again(board).price, again(board).currency, again(board).note_ref) == (None, "", None)
    assert compare() == []


@pytest.mark.parametrize(
    "wrong, field",
    [
        ({}, "board"), ({"species": "plywood"}, "species"), ({"width": "70"}, "width"),
        ({"length": "1 2"}, "length"), ({"price": "much"}, "price"), ({"colour": "red"}, "colour"),
        ({"note": "x" * 2001}, "note"),
    ],
)  # fmt: skip
def test_a_change_that_cannot_be(work, wrong, field):
    board = a_board(work)
    before = Event.objects.count()
    with pytest.raises((Invalid, CalcError)) as refused:
        change_board(work.call(), board=1, units=INCHES, **wrong)
    assert refused.value.field == field and refused.value.allowed
    assert (Event.objects.count(), again(board).version) == (before, board.version)


def test_a_reserved_board_keeps_its_wood_and_a_used_one_its_measured_sizes_too(work):
    board, piece = a_board(work), work.accepted()
    reserve_board(work.call(), board=1, piece=piece.number)
    with pytest.raises(WrongState, match="stays on record") as refused:
        change_board(work.call(), board=1, units=INCHES, species="cherry")
    assert refused.value.field == "species" and "release" in refused.value.allowed
    change_board(work.call(), board=1, units=INCHES, species="walnut", length="94")
    use_board(work.call(), board=1)
    with pytest.raises(WrongState) as refused:
        change_board(work.call(), board=1, units=INCHES, length="96")
    assert refused.value.field == "length" and refused.value.allowed.startswith("94 in")
    change_board(work.call(), board=1, units=INCHES, length="94", price="20", note="a knot")
    assert (again(board).length_len, again(board).price) == (inches(94), Decimal(20))
    assert compare() == []


def test_an_offcut_cannot_grow_over_the_board_it_came_from(work):
    a_board(work), work.accepted()
    use_board(work.call(), board=1, piece="2026-001-1")
    for _ in range(2):
        cut_offcut(work.call(), board=1, length="40", units=INCHES)
    with pytest.raises(Invalid, match="more than that of board 1") as refused:
        change_board(work.call(), board=2, units=INCHES, width="6 1/2")
    assert refused.value.field == "width"
    with pytest.raises(Invalid, match="not so much left"):
        change_board(work.call(), board=2, units=INCHES, length="57")  # 96 less 40 is 56
    change_board(work.call(), board=2, units=INCHES, length="56")
    write_off_board(work.call(), board=3, reason="split")
    with pytest.raises(WrongState):
        change_board(work.call(), board=3, units=INCHES, note="gone")
    assert compare() == []


def test_a_maker_changes_sizes_but_no_price(work):
    board = a_board(work, price="61.50")
    work.by = a_maker()
    change_board(work.call(), board=1, units=INCHES, width="6")
    for price in ("10", ""):
        with pytest.raises(Forbidden):
            change_board(work.call(), board=1, units=INCHES, price=price)
    assert (again(board).width_len, again(board).price) == (inches(6), Decimal("61.50"))
