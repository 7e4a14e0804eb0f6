"""A meter's readings of a board: kept one by one, taken back and still seen."""

from decimal import Decimal

import pytest

from calcs.kit.errors import CalcError
from calcs.kit.units import inches
from jobs.core.errors import Invalid, NotFound, WrongState
from jobs.domain.stock.boards import read_moisture, void_moisture
from jobs.domain.stock.queries import board_views
from jobs.log.rebuild import compare
from tests.domain.stock.rack import a_board, again
from tests.shop_fixtures import INCHES

pytestmark = pytest.mark.django_db


def test_moisture_is_kept_reading_by_reading(work):
    board = a_board(work)
    read_moisture(work.call(), board=1, pct="9.5", depth="1/4", units=INCHES)
    work.go(days=7)
    read_moisture(work.call(), board=1, pct="8", units=INCHES)
    readings = board_views([again(board)], with_money=False)[0]["moisture"]
    assert [(r["pct"], r["depth_len"]) for r in readings] == [
        (Decimal("9.50"), inches("1/4")),
        (Decimal("8.00"), None),
    ]
    assert (readings[1]["at"] - readings[0]["at"]).days == 7
    for wrong in ("101", "-1", "wet", "8.001"):
        with pytest.raises((Invalid, CalcError)):
            read_moisture(work.call(), board=1, pct=wrong, units=INCHES)
    assert compare() == []


def test_a_wrong_reading_is_taken_back_and_stays_to_be_seen(work):
    board = a_board(work)
    read_moisture(work.call(), board=1, pct="8", units=INCHES)
    read_moisture(work.call(), board=1, pct="80", units=INCHES)
    wrong = again(board).readings.last()
    void_moisture(work.call(), board=1, reading=wrong.id)
    view = board_views([again(board)], with_money=False)[0]
    assert [(r["pct"], r["voided"]) for r in view["moisture"]] == [(8, False), (80, True)]
    assert view["moisture_pct"] == 8
    with pytest.raises(WrongState):
        void_moisture(work.call(), board=1, reading=wrong.id)
    a_board(work)
    for reading, of in ((wrong.id, 2), (1, 1)):
        with pytest.raises(NotFound):
            void_moisture(work.call(), board=of, reading=reading)
    assert compare() == []
