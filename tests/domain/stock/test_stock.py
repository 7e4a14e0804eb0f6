"""Boards on the rack: their allowed moves; a cancelled commission releases them."""

from decimal import Decimal

import pytest

from calcs.kit.errors import CalcError
from calcs.kit.units import inches
from jobs.core.errors import Forbidden, Invalid, NotFound, Stale, WrongState
from jobs.domain.commissions.commissions import move_commission
from jobs.domain.commissions.piece_commands import remove_piece
from jobs.domain.stock.boards import read_moisture, release_board, reserve_board, use_board, write_off_board
from jobs.domain.stock.offcuts import cut_offcut
from jobs.domain.stock.queries import board_views
from jobs.domain.stock.suitability import misfit
from jobs.log.rebuild import compare
from jobs.models import Board, Event
from tests.domain.stock.rack import a_board, again
from tests.shop_fixtures import INCHES, a_maker

pytestmark = pytest.mark.django_db


def test_a_board_is_measured_numbered_and_in_board_feet(work):
    first, second = a_board(work, price="61.50", note="from the barn"), a_board(work, length="244 cm")
    assert (first.number, second.number) == (1, 2)
    assert (first.species, first.width_len) == ("black walnut", inches("25/4"))
    assert first.typed == {"thickness": "2 in", "width": "6 1/4 in", "length": "96 in"}
    view = board_views([first], with_money=True)[0]
    # US Navy, Engineering Aid Basic, ch. 6: inches x feet x feet; 2 x 6.25/12 x 8 = 8.33;
    # with the surface measure 4.17 rounded to 4 by the trade's rule 8.00.
    assert (view["board_feet"], view["price"]) == (Decimal("8.00"), Decimal("61.50"))
    assert "price" not in board_views([first], with_money=False)[0]
    assert "barn" not in Event.objects.get(seq=first.version).body
    assert compare() == []


@pytest.mark.parametrize(
    "wrong, field",
    [
        ({"species": "plywood"}, "species"),
        ({"thickness": "11"}, "thickness"),
        ({"width": "0"}, "width"),
        ({"length": "long"}, "length"),
        ({"price": "-1"}, "price"),
        ({"price": "1.005"}, "price"),
        ({"price": "NaN"}, "price"),
        ({"note": "x" * 2001}, "note"),
    ],
)
def test_a_board_that_cannot_be(work, wrong, field):
    before = Event.objects.count()
    with pytest.raises((Invalid, CalcError)) as refused:
        a_board(work, **wrong)
    assert refused.value.field == field and refused.value.allowed
    assert Event.objects.count() == before


def test_a_maker_may_add_boards_but_no_price(work):
    work.by = a_maker()
    assert a_board(work).price is None
    with pytest.raises(Forbidden):
        a_board(work, price="10")


def test_a_reserved_board_names_its_piece_and_is_nobody_elses(work):
    board, piece, other = a_board(work), work.accepted(), work.accepted()
    reserve_board(work.call(), board=1, piece=piece.number)
    assert (again(board).step, again(board).piece) == (Board.Step.RESERVED, piece.number)
    with pytest.raises(WrongState, match=piece.number):
        reserve_board(work.call(), board=1, piece=other.number)
    with pytest.raises(WrongState, match=piece.number):
        use_board(work.call(), board=1, piece=other.number)
    release_board(work.call(), board=1)
    use_board(work.call(), board=1, piece=other.number)
    assert (again(board).step, again(board).piece) == (Board.Step.USED, other.number)
    with pytest.raises(WrongState):
        write_off_board(work.call(), board=1, reason="split")
    release_board(work.call(), board=1)  # it was another board
    assert again(board).step == Board.Step.FREE
    assert compare() == []


def test_another_wood_than_asked_for_is_told(work):
    a_board(work, species="white oak")
    piece = work.accepted()
    assert "asks for black walnut" in reserve_board(work.call(), board=1, piece=piece.number).notices[0]


@pytest.mark.parametrize("to", ["cancelled", "declined"])
def test_a_commission_that_is_off_gives_back_what_it_reserved(work, to):
    kept, used, others = a_board(work), a_board(work), a_board(work)
    piece, other = work.accepted(), work.accepted()
    if to == "declined":
        from tests.shop_fixtures import a_client, a_commission, a_piece

        piece = a_piece(work.call(), a_commission(work.call(), a_client(work.call())))
    for board, whose in ((kept, piece), (used, piece), (others, other)):
        reserve_board(work.call(), board=board.number, piece=whose.number)
    use_board(work.call(), board=used.number)
    move_commission(work.call(), commission=piece.commission.number, to=to, reason="house sold")
    assert [(again(b).step, again(b).piece) for b in (kept, used, others)] == [
        ("free", ""), ("used", piece.number), ("reserved", other.number),
    ]  # fmt: skip
    with pytest.raises(WrongState):
        reserve_board(work.call(), board=kept.number, piece=piece.number)
    assert compare() == []


def test_a_removed_piece_gives_its_boards_back(work):
    board, piece = a_board(work), work.accepted()
    reserve_board(work.call(), board=1, piece=piece.number)
    remove_piece(work.call(), piece=piece.number)
    assert (again(board).step, again(board).piece) == ("free", "")
    assert compare() == []


def test_offcuts_are_boards_and_never_more_than_was_there(work):
    board, piece = a_board(work, note="heart side down"), work.accepted()
    with pytest.raises(WrongState):
        cut_offcut(work.call(), board=1, length="30", units=INCHES)
    use_board(work.call(), board=1, piece=piece.number)
    for wrong, field in (({"length": "97"}, "length"), ({"length": "30", "width": "7"}, "width")):
        with pytest.raises(Invalid) as refused:
            cut_offcut(work.call(), board=1, units=INCHES, **wrong)
        assert refused.value.field == field
    cut_offcut(work.call(), board=1, length="60", units=INCHES)
    offcut = Board.objects.get(number=2)
    assert (offcut.length_len, offcut.width_len, offcut.thickness_len) == (
        inches(60), board.width_len, board.thickness_len,
    )  # fmt: skip
    assert (offcut.cut_from, offcut.step, offcut.species) == (1, "free", "black walnut")
    with pytest.raises(Invalid, match="not so much left"):
        cut_offcut(work.call(), board=1, length="37", units=INCHES)
    cut_offcut(work.call(), board=1, length="36", width="3", units=INCHES, note="knot at one end")
    with pytest.raises(WrongState, match="2, 3"):
        release_board(work.call(), board=1)
    assert compare() == []


def test_writing_off_needs_a_reason_and_is_for_good(work):
    board = a_board(work)
    with pytest.raises(Invalid) as refused:
        write_off_board(work.call(), board=1, reason=" ")
    assert refused.value.field == "reason"
    write_off_board(work.call(), board=1, reason="worm holes through and through")
    assert again(board).step == Board.Step.WRITTEN_OFF
    for verb, more in (
        (reserve_board, {"piece": "x"}), (release_board, {}), (use_board, {}),
        (read_moisture, {"pct": "8", "units": INCHES}),
    ):  # fmt: skip
        with pytest.raises(WrongState):
            verb(work.call(), board=1, **more)
    with pytest.raises(NotFound):
        write_off_board(work.call(), board=2, reason="gone")
    assert "worm holes" not in "".join(Event.objects.values_list("body", flat=True))
    assert compare() == []


def test_a_board_seen_earlier_than_it_stands_is_refused(work):
    board, piece = a_board(work), work.accepted()
    reserve_board(work.call(), board=1, piece=piece.number)
    with pytest.raises(Stale):
        release_board(work.call(seen=board.version), board=1)


# A top of 1 1/2 in is sawn from 8/4: a board of 2 1/2 in and more would be planed to shavings. Milling a
# rough board flat takes 1/8 in and flattening the top 1/16, so 1 11/16 in are wanted.
@pytest.mark.parametrize(
    "asked, says",
    [
        ({}, ""), ({"thickness": "1 11/16"}, ""), ({"species": "white oak"}, "asks for black walnut"),
        ({"thickness": "1 5/8"}, "thick"), ({"thickness": "2 1/2"}, "thick"),
    ],
)  # fmt: skip
def test_a_board_that_does_not_suit_a_piece_is_reserved_with_a_word(work, asked, says):
    piece = work.accepted(species="black walnut", thickness="1 1/2")
    board = a_board(work, **asked)
    assert says in misfit(board, piece) and bool(misfit(board, piece)) is bool(says)
    notices = reserve_board(work.call(), board=1, piece=piece.number).notices
    assert notices == ([misfit(board, piece)] if says else [])
