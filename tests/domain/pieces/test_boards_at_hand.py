"""The strips of a piece from the boards that are reserved for it, and what the client pays for them."""

from decimal import Decimal
from typing import Any

import pytest

from calcs.kit.units import inches
from jobs.core.errors import Invalid
from jobs.domain.commissions.piece_commands import change_piece
from jobs.domain.overviews.piece import pieces_with_blockers
from jobs.domain.overviews.shopping_list import shopping_list
from jobs.domain.pieces.at_hand import CHANGED, yield_of
from jobs.domain.pieces.bill_of_materials import needs
from jobs.domain.settings import settings
from jobs.domain.stock.boards import add_board, change_board, release_board, reserve_board
from jobs.domain.workshop.commands import set_shop
from jobs.models import Piece
from tests.shop_fixtures import INCHES, Work

pytestmark = pytest.mark.django_db
WIDE = {"width": "42", "length": "72", "thickness": "1 1/2"}


def a_piece_with_boards(work: Work, *widths: str) -> Piece:
    set_shop(work.call(), settings={"lumber_prices": {"black walnut": "14.50"}})
    piece = work.accepted(**WIDE)
    for n, width in enumerate(widths, start=1):
        size = {"species": "black walnut", "thickness": "2", "width": width, "length": "96"}
        add_board(work.call(), units=INCHES, **size)
        reserve_board(work.call(), board=n, piece=piece.number)
    return again(piece)


def again(piece: Piece) -> Piece:
    return Piece.objects.get(id=piece.id)


def laid_out(work: Work, piece: Piece) -> Piece:
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"strips_from": "reserved boards"})
    return again(piece)


def figures(piece: Piece, name: str) -> dict[str, Any]:
    found: dict[str, Any] = piece.computed[name]["result"]
    return found


def told_of(piece: Piece) -> list[str]:
    (found,) = pieces_with_blockers(piece.commission)
    return [one["says"] for one in found["blockers"]]


# Seven boards of 5 in give 7 x (5 - 5/16) = 32 13/16 in; 9 3/16 of 42 in are missing, two strips of 4 19/32.
def test_strips_joints_glue_and_clamps_follow_the_reserved_boards(work: Work):
    piece = laid_out(work, a_piece_with_boards(work, *["5"] * 7))
    layout = figures(piece, "layout")
    assert [strip["origin"] for strip in layout["strips"]].count("to buy") == 2
    widths = sorted(strip["width_len"] for strip in layout["strips"])
    assert widths == [inches("147/32")] * 2 + [inches("75/16")] * 7
    assert layout["sum_len"] == inches(42) and figures(piece, "joinery")["joints"] == 8
    joins = figures(piece, "gluing")["stages"]
    assert sum(len(stage["joins"]) - 1 for stage in joins) == 8
    assert figures(piece, "clamping")["count"] >= 2
    assert any("missing, still to buy: 2 boards 8 ft long" in says for says in told_of(piece))


# 5 in x 8 ft is 3.33, so 3 ft2, 6 board feet of 8/4: 42; 7 in x 8 ft 4.67, so 5 ft2: two boards are 20. At
# 14.50 a board foot 62 are 899.00.
def test_price_shopping_list_and_bill_agree_with_the_boards_to_the_cent(work: Work):
    piece = laid_out(work, a_piece_with_boards(work, *["5"] * 7))
    lumber = figures(piece, "lumber")
    (bought,) = shopping_list(today=work.now.date())["boards"]
    (line,) = [n for n in needs(piece.inputs, piece.computed, settings()) if n.kind == "lumber"]
    assert (lumber["hand_bf"], lumber["buy_bf"], lumber["cost"]) == ("42.00", "20.00", "899.00")
    assert (bought["wanted_bf"], bought["set_aside_bf"], bought["buy_bf"]) == (62, 42, 20)
    assert bought["to_buy"] == "2 boards 8 ft long"
    assert line.quantity * Decimal("14.50") == Decimal("899.00")
    assert "2 whole boards to buy (2 boards 8 ft long) and 42 board feet at hand" in line.remark


def test_enough_boards_leave_nothing_to_buy(work: Work):
    piece = laid_out(work, a_piece_with_boards(work, *["7"] * 7))  # a strip of 6 1/2 each: 45 1/2 of 42 in
    lumber = figures(piece, "lumber")
    assert (lumber["missing_len"], lumber["boards"], lumber["warnings"]) == (0, 0, [])
    assert {strip["origin"] for strip in figures(piece, "layout")["strips"]} <= {
        f"board {n}" for n in range(1, 8)
    }
    (bought,) = shopping_list(today=work.now.date())["boards"]
    assert (bought["buy_bf"], bought["to_buy"]) == (0, "")


def test_boards_that_changed_since_are_told_until_the_strips_are_laid_out_again(work: Work):
    piece = laid_out(work, a_piece_with_boards(work, "7", "7"))
    assert CHANGED not in told_of(piece)
    change_board(work.call(), board=1, units=INCHES, width="6")
    assert CHANGED in told_of(piece)
    assert CHANGED not in told_of(laid_out(work, piece))
    release_board(work.call(), board=2)
    assert CHANGED in told_of(piece)
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"strips_from": "usual boards"})
    assert told_of(again(piece)).count(CHANGED) == 0
    assert not any(strip["origin"] for strip in figures(again(piece), "layout")["strips"])


# Alike, in strips of 6 in, a board of 5 in gives 4 11/16 all the same.
def test_the_yield_of_the_boards_is_known_before_anything_is_laid_out(work: Work):
    piece = a_piece_with_boards(work, *["5"] * 7)
    found = yield_of(piece)
    assert found is not None and not found["laid_out"]
    assert (found["together_len"], found["missing_len"]) == (inches("525/16"), inches("147/16"))
    assert (found["alike_len"], found["to_buy"]) == (inches("525/16"), "2 boards 8 ft long")
    assert yield_of(work.accepted()) is None


def test_strips_of_several_tops_are_not_laid_out_from_boards(work: Work):
    piece = work.accepted(**WIDE, quantity=2)
    with pytest.raises(Invalid) as refused:
        laid_out(work, piece)
    assert refused.value.field == "strips_from"
