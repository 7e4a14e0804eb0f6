"""The boards a piece is figured from when nobody says how long they are."""

import pytest

from calcs.units import inches
from tests.shop_fixtures import a_call, a_client, a_commission, a_piece, an_owner

pytestmark = pytest.mark.django_db


# 10 ft boards are common practice, no source; a strip of a top is its length and 2 in of trim (trade rule),
# so 118 in still fits 120 in, and 126 in wants the next whole foot over 128 in: 132 in.
@pytest.mark.parametrize("length, board", [("72", 120), ("118", 120), ("118 1/64", 132), ("126", 132)])
def test_a_long_top_is_figured_from_boards_that_hold_its_strips(length: str, board: int) -> None:
    call = a_call(an_owner())
    piece = a_piece(call, a_commission(call, a_client(call)), length=length)
    lumber = piece.computed["lumber"]
    assert "refused" not in lumber
    assert lumber["inputs"]["board_length_len"] == inches(board)


def test_boards_that_are_asked_for_are_not_lengthened(db: None) -> None:
    call = a_call(an_owner())
    piece = a_piece(call, a_commission(call, a_client(call)), length="126", board_length="120")
    assert piece.computed["lumber"]["field"] == "board_length"
