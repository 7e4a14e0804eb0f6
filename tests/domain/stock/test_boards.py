"""The boards that a piece is calculated from when nobody says how long they are."""

import pytest

from calcs.kit.units import inches
from tests.shop_fixtures import a_call, a_client, a_commission, a_piece, an_owner

pytestmark = pytest.mark.django_db


# Boards of 8 to 12 ft are common practice, no source; a strip of a top is its length and 2 in of trim (trade
# rule). 8 ft hold a strip of 74 in as well as any, two of 62 in fit 11 ft, 120 in want 10 ft; 128 in want
# 11 ft, 180 in the next whole foot over 182 in: 16 ft.
@pytest.mark.parametrize(
    "length, longest", [("72", 96), ("60", 132), ("118", 120), ("118 1/64", 132), ("126", 132), ("180", 192)]
)
def test_a_top_is_figured_from_boards_that_hold_its_strips(length: str, longest: int) -> None:
    call = a_call(an_owner())
    piece = a_piece(call, a_commission(call, a_client(call)), length=length, waste_pct="0")
    lumber = piece.computed["lumber"]
    assert "refused" not in lumber and lumber["inputs"]["board_length_len"] is None
    assert max(row["length_len"] for row in lumber["result"]["to_buy"]) == inches(longest)


def test_boards_that_are_asked_for_are_not_lengthened(db: None) -> None:
    call = a_call(an_owner())
    piece = a_piece(call, a_commission(call, a_client(call)), length="126", board_length="120")
    assert piece.computed["lumber"]["field"] == "board_length"
