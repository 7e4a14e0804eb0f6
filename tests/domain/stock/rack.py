"""Walnut boards for the tests."""

from jobs.domain.stock.boards import add_board
from jobs.models import Board
from tests.shop_fixtures import INCHES, Work

WALNUT = {"species": "walnut", "thickness": "2", "width": "6 1/4", "length": "96 in", "units": INCHES}


def a_board(work: Work, **asked: object) -> Board:
    done = add_board(work.call(), **{**WALNUT, **asked})
    return Board.objects.get(number=done.events[0].data["board"])


def again(board: Board) -> Board:
    return Board.objects.get(id=board.id)
