"""Moisture readings of a piece's boards move its settling, and fill in what milling asks.

Oak arrives at 11 % into air of 45 % and 20 °C. The Wood Handbook, FPL-GTR-190, table 4-2, has 8.5 % for
21.1 °C (70 °F) and 45 %. Here it comes half of the way every four days.
"""

from datetime import datetime, timedelta

import pytest
from django.utils import timezone

from jobs.core.errors import GateShut
from jobs.domain.stages.commands import start_stage
from jobs.domain.stock.boards import add_board, read_moisture, reserve_board, void_moisture
from jobs.domain.workshop.commands import set_shop
from jobs.log.projectors import Turn, refill
from jobs.models import Board, MoistureReading, Piece, Wait, WaitEstimate
from tests.shop_fixtures import INCHES, QUICK, Work, an_owner, measured, quick_sheets
from tests.web.pages import Pages

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def work() -> Work:
    work = Work(an_owner())
    quick_sheets(work.call())
    return work


@pytest.fixture
def piece(work: Work) -> Piece:
    """Return a piece whose stock has come in and settles, with two boards reserved for it."""
    piece = work.accepted(**QUICK)
    work.do_until(piece, "stock")
    for _ in range(2):
        sides = {"thickness": "4/4", "width": "8", "length": "96"}
        add_board(work.call(), units=INCHES, species="white oak", **sides)
        reserve_board(work.call(), board=Board.objects.latest("number").number, piece=piece.number)
    return piece


def rounds(work: Work, *days: int) -> None:
    """Read both boards on these days after now, half a per cent apart."""
    begin = work.now
    for day in days:
        work.now = begin + day * DAY
        for n, board in enumerate(Board.objects.order_by("number")):
            pct = 8.5 + (11 - 8.5) * 0.5 ** (day / 4) + n * 0.5 - 0.25
            read_moisture(work.call(), board=board.number, pct=f"{pct:.1f}", units=INCHES)
    work.go(minutes=1)


def settle() -> tuple[Wait, WaitEstimate, datetime]:
    wait = Wait.objects.get(kind="settle", step=Wait.Step.RUNNING)
    return wait, WaitEstimate.objects.get(wait=wait), wait.since + 7 * DAY


def test_without_readings_the_route_says_when(piece):
    _, known, told = settle()
    assert known.ready_at == told and known.latest_at is None


def test_two_rounds_give_a_range_by_thickness_and_say_so(work, piece):
    rounds(work, 0, 3)
    _, known, told = settle()
    first = MoistureReading.objects.earliest("at").at
    # 1 in at 10.0 % on day 3, 1.5 % from 8.5: rate pi² 1.5e-10 / 0.0254² = 0.199 a day, so 0.5 % in 7 days at
    # 0.165 % away (the trade's 0.2), after ln(1.5 / 0.165) / 0.199 = 11 days more
    assert abs(known.likely_at - first - 14 * DAY) <= DAY and known.ready_at == known.likely_at
    assert known.earliest_at <= known.likely_at <= known.latest_at and known.ready_at > told
    assert "two readings do not make a curve" in known.reason and "by thickness" in known.reason


# Fick's law for 2 in: rate 0.0497 a day; alike all through, 8/pi² of the way counts. Boards bought at 12 % in
# air of 8.5 %: ln(0.81 x 3.5) / 0.0497 = 21 days to come within 1 %. At 9.5 % they are near as they come.
@pytest.mark.parametrize("bought, days", [("12", 21), ("9.5", 7)])
def test_thick_boards_that_nobody_reads_wait_longer_than_the_route_says(work, bought, days):
    piece = work.accepted(**QUICK, thickness="1 3/4")
    before = list(piece.stages.order_by("position").values_list("key", flat=True))
    work.do_until(piece, before[before.index("stock") - 1])
    work.wait_for(piece, "stock")
    work.start(piece, "stock", measured={})
    work.finish(piece, "stock", measured={"moisture_mean": bought})
    sides = {"thickness": "8/4", "width": "8", "length": "96"}
    add_board(work.call(), units=INCHES, species="white oak", **sides)
    reserve_board(work.call(), board=Board.objects.latest("number").number, piece=piece.number)
    refill(since=Turn.ESTIMATES)
    wait, known, _ = settle()
    assert abs(known.ready_at - wait.since - days * DAY) <= DAY
    assert ("no meter readings of the boards" in known.reason) is (days > 7)


def test_a_curve_tells_a_likely_day_that_follows_the_boards(work, piece):
    rounds(work, 0, 3, 6)
    _, known, _ = settle()
    first = MoistureReading.objects.earliest("at").at
    # Change over 7 days is 2.5 (2^(7/4) - 1) 2^(-t/4), at most 0.5 % from t = 4 log2(11.8) = 14.2 d on.
    assert abs((known.likely_at - first) - 14.2 * DAY) < 2 * DAY and known.ready_at == known.likely_at
    assert known.earliest_at <= known.likely_at
    before = WaitEstimate.objects.values().get(wait=known.wait)
    refill(since=Turn.ESTIMATES)
    assert WaitEstimate.objects.values().get(wait=known.wait) == before


def test_settled_boards_end_the_wait_and_a_reading_taken_back_does_not_count(work, piece):
    rounds(work, 0, 10, 17)
    _, known, _ = settle()
    assert known.ready_at == MoistureReading.objects.filter(board__number=1).latest("at").at
    assert known.reason.startswith("settled")
    for reading in MoistureReading.objects.all():
        void_moisture(work.call(), board=reading.board.number, reading=reading.id)
    _, known, told = settle()
    assert known.ready_at == told


def test_the_form_of_milling_is_filled_in_from_the_readings(work, piece):
    work.now = timezone.now() - 17 * DAY
    rounds(work, 0, 9, 16)
    form = Pages(work.by).get(f"/pieces/{piece.number}/stages/rough-mill/").form("/start/")
    assert form.typed["measured.moisture_mean"] == "8.7"  # 8.5 + 2.5 / 2^4 = 8.66
    assert form.typed["measured.moisture_spread"] == "0.5"
    assert form.typed["measured.moisture_change"] == "0.4"  # 2.5 (2^(-9/4) - 2^-4) = 0.37


def air_of(work: Work, temperature: str, humidity: str) -> None:
    """Take two days of readings of the shop's air, every six hours, up to now."""
    entries = [
        {"at": work.now - n * DAY / 4, "temperature": temperature, "humidity": humidity} for n in range(8)
    ]
    measured(entries, source=work.by.id, temperature_unit="F", now=work.now)


# Wood Handbook, FPL-GTR-190 (2010), table 4-2, 70 °F: 5.4 % at 25 %, 6.9 % at 35 %, 8.5 % at 45 %.
@pytest.mark.parametrize(
    "humidity, mean, emc, opens",
    [
        ("35", "7.8", "6.9", True), ("35", "8", "6.9", False), ("25", "6", "5.4", True),
        ("25", "7", "5.4", False), ("45", "7.6", "8.5", True), ("45", "7.4", "8.5", False),
    ],
)  # fmt: skip
def test_milling_asks_that_the_mean_is_near_what_the_air_leads_to(work, piece, humidity, mean, emc, opens):
    work.go(days=9)
    air_of(work, "70", humidity)
    measured = {"moisture_mean": mean, "moisture_spread": "0.5", "moisture_change": "0.3"}

    def mill() -> None:
        start_stage(work.call(), piece=piece.number, stage="rough-mill", units=INCHES, measured=measured)

    if opens:
        mill()
        return
    with pytest.raises(GateShut) as refused:
        mill()
    assert refused.value.field == "measured.moisture_mean"
    assert f"within 1 % of the {emc} % that the shop's air leads to" in refused.value.allowed
    start_stage(
        work.call(), piece=piece.number, stage="rough-mill", units=INCHES, measured=measured,
        override={"moisture_mean": "the heating starts tomorrow"},
    )  # fmt: skip


def test_without_readings_of_the_air_the_gate_and_the_wait_say_so(work, piece):
    pages = Pages(work.by)
    work.now = timezone.now() - 17 * DAY
    assert (
        "no readings of the shop's air to compare it with"
        in pages.get(f"/pieces/{piece.number}/stages/rough-mill/").words
    )
    rounds(work, 0, 10, 17)
    _, known, _ = settle()
    assert known.reason.startswith("settled") and "no readings of the shop's air" in known.reason
    air_of(work, "68", "45")
    refill(since=Turn.ESTIMATES)
    assert "no readings" not in settle()[1].reason


def test_unmeasured_air_is_the_usual_air_that_the_shop_has_set(work, piece):
    """70 °F and 30 %: 6.2 % (table 4-2), so a mean of 8 % is 1.8 % away."""
    set_shop(work.call(), settings={"shop_rh_pct": "30", "shop_c": "21"})
    work.go(days=9)
    readings = {"moisture_mean": "8", "moisture_spread": "0.5", "moisture_change": "0.3"}
    with pytest.raises(GateShut, match="within 1 % of the 6.2 %"):
        start_stage(
            work.call(), piece=piece.number, stage="rough-mill", units=INCHES, measured=readings,
        )  # fmt: skip


def test_boards_that_stand_still_far_from_the_equilibrium_are_not_ready(work, piece):
    """At 11.6 % for three weeks in air of 35 %: some twenty days for 1 in are over, yet it is not settled."""
    air_of(work, "70", "35")
    begin = work.now
    for day in (0, 8, 15, 22):
        work.now = begin + day * DAY
        air_of(work, "70", "35")
        for board in Board.objects.all():
            read_moisture(work.call(), board=board.number, pct="11.6", units=INCHES)
    _, known, _ = settle()
    assert known.ready_at is None and "not settled" in known.reason and "6.9 %" in known.reason
    with pytest.raises(GateShut, match="no ready time"):
        start_stage(
            work.call(), piece=piece.number, stage="rough-mill", units=INCHES,
            measured={"moisture_mean": "7", "moisture_spread": "0", "moisture_change": "0"},
        )  # fmt: skip
