"""The page that lays the strips of a piece out from its boards."""

import pytest

from jobs.domain.stock.boards import add_board, reserve_board
from jobs.models import Piece
from tests.shop_fixtures import INCHES, Work
from tests.web.pages import Pages

pytestmark = pytest.mark.django_db


# A board of 5 in gives 4 11/16, seven of them 32 13/16 of 42 in.
def test_boards_that_are_too_narrow_are_shown_so_and_the_strips_follow_them(pages: Pages, work: Work):
    piece = work.accepted(width="42", length="72", thickness="1 1/2")
    assert "No board of its wood" in pages.get(f"/pieces/{piece.number}/lay-out/").words
    for n in range(1, 8):
        size = {"species": "black walnut", "thickness": "2", "width": "5", "length": "96"}
        add_board(work.call(), units=INCHES, **size)
        reserve_board(work.call(), board=n, piece=piece.number)
    for address in (f"/stock/?piece={piece.number}", f"/pieces/{piece.number}/lay-out/"):
        words = pages.get(address).words.replace("\u2044", "/")
        assert '32 13/16" of 42"' in words and '9 3/16" missing' in words
        assert "Still to buy: 2 boards 8 ft long" in words
    pages.send(f"/pieces/{piece.number}/lay-out/", {})
    layout = Piece.objects.get(id=piece.id).computed["layout"]["result"]
    assert [strip["origin"] for strip in layout["strips"]].count("to buy") == 2
    page = pages.get(f"/commissions/{piece.commission.number}/piece/")
    assert "7 boards at hand; 2 boards of" in page.words
    page = pages.get(f"/pieces/{piece.number}/figures/")
    assert "board 7" in page.words and "missing, still to buy" in page.words
    assert "Lay the strips out again" in pages.get(f"/stock/?piece={piece.number}").words
