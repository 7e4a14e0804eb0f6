"""Wait estimates: what readings do to the waits that run, and the estimate without readings."""

from datetime import timedelta

import pytest
from django.db import connection
from django.utils import timezone

from jobs.core.errors import Invalid
from jobs.domain.overviews.climate import waits_in_the_air
from jobs.domain.stages.wait_commands import correct_start, finish_wait
from jobs.domain.workshop.commands import set_sheet
from jobs.log.projectors import Turn, refill
from jobs.log.rebuild import compare, rebuild
from jobs.models import AirMean, Event, Reading, ReminderDue, Wait, WaitEstimate
from tests.domain.climate.waits import HOUR, MINUTE, air, clamped, estimate, one_more
from tests.shop_fixtures import QUICK, QUICK_FINISH, measured, voided

pytestmark = [pytest.mark.django_db, pytest.mark.takes(10)]


def test_without_readings_the_time_of_the_start_stands_with_a_range(work):
    wait = clamped(work)
    known = estimate(wait)
    assert known.ready_at == wait.since + 12 * HOUR == known.likely_at
    assert known.earliest_at <= known.likely_at < known.latest_at
    assert known.known_until is None and known.reason == ""


def test_a_cold_night_moves_the_ready_time_and_its_reminders(work):
    wait = clamped(work)
    before = estimate(wait).ready_at
    air(work, wait.since - 2 * HOUR, [20] * 4 + [11] * 10)
    known = estimate(wait)
    # Two of twelve hours are at 20 °C. At 11 °C the Arrhenius law with 6000 K is 1.91 times slower: at least
    # 10 x 1.9 h more are needed, less what the wood's lag of under an hour gives back.
    assert known.likely_at > wait.since + 18 * HOUR
    assert known.earliest_at < known.likely_at < known.latest_at == known.ready_at > before
    assert "fell to 51.8 °F (11 °C)" in known.reason.replace("52 °F", "51.8 °F") or "11" in known.reason
    due = wait.reminders_due.filter(kind="ready").values_list("due_at", flat=True)
    assert set(due) == {known.ready_at}


def test_late_readings_and_readings_out_of_order_come_to_the_same(work):
    wait = clamped(work)
    temps = [20, 18, 15, 12, 11, 13, 16]
    air(work, wait.since, temps)
    whole = estimate(wait).ready_at
    Reading.objects.all().delete()
    AirMean.objects.all().delete()
    for n in (4, 0, 6, 2, 1, 5, 3):
        air(work, wait.since + n * HOUR, [temps[n]])
    assert estimate(wait).ready_at == whole


def test_a_voided_reading_moves_it_back(work):
    wait = clamped(work)
    air(work, wait.since, [20] * 6)
    before = estimate(wait).ready_at
    air(work, wait.since + 10 * HOUR, [11])
    assert estimate(wait).ready_at > before
    voided(Reading.objects.latest("at").id, by="person-1", now=wait.since + 11 * HOUR)
    assert estimate(wait).ready_at == before


def test_cold_after_it_was_ready_explains_nothing(work):
    wait = clamped(work)
    air(work, wait.since - HOUR, [16.97] * 24 + [8] * 8)  # told to 0.1 °C
    said = estimate(wait)
    assert said.ready_at < wait.since + 22 * HOUR and said.reason == "wood fell to 62.6 °F (17 °C)"


def test_damp_air_that_holds_up_a_coat_is_named(work):
    set_sheet(work.call(), kind="finish", key="slow-film", data=QUICK_FINISH | {"recoat_from_s": "6 h"})
    piece = work.accepted(**{**QUICK, "finish_face": "slow-film"})
    work.do_until(piece, "seal-1")
    coat = Wait.objects.get(stage__piece=piece, kind="recoat", step=Wait.Step.RUNNING)
    rows = [{"at": coat.since + n * HOUR, "temperature": "20", "humidity": 85} for n in range(-2, 4)]
    measured(rows, source="sensor-1", temperature_unit="C", now=coat.since + 4 * HOUR)
    assert estimate(coat).reason == "damper air than estimated, 85 % RH"


# Drying goes with the vapour-pressure deficit. At 50 % that is half of 2.339 kPa at 20 °C, half of 1.403 kPa
# at 12 °C (saturated steam as printed in the CRC Handbook, from memory): 6 h become 6 x 2.339 / 1.403 = 10 h.
def test_coats_look_at_the_finishing_room_where_it_is_measured(work):
    set_sheet(work.call(), kind="finish", key="slow-film", data=QUICK_FINISH | {"recoat_from_s": "6 h"})
    wait, piece = clamped(work), work.accepted(**{**QUICK, "finish_face": "slow-film"})
    work.do_until(piece, "seal-1")
    coat = Wait.objects.get(stage__piece=piece, kind="recoat", step=Wait.Step.RUNNING)
    air(work, coat.since - HOUR, [12] * 14, place="finishing room")
    assert (estimate(coat).likely_at - coat.since) / HOUR == pytest.approx(10.0, abs=0.1)
    air(work, coat.since, [30] * 3)
    assert (estimate(coat).likely_at - coat.since) / HOUR == pytest.approx(10.0, abs=0.1)
    shop = estimate(wait).ready_at
    air(work, wait.since, [11] * 12, place="finishing room")
    assert estimate(wait).ready_at == shop
    shown = {place: {w["kind"] for w in waits} for place, waits in waits_in_the_air(now=work.now).items()}
    assert "unclamp" in shown["shop"] and "recoat" in shown["finishing room"]


def all_estimates() -> list[object]:
    return list(WaitEstimate.objects.order_by("wait").values())


def test_everything_derived_comes_back_by_a_rebuild(work):
    wait = clamped(work)
    air(work, wait.since, [20, 14, 12])
    before = (
        list(WaitEstimate.objects.order_by("wait").values()),
        list(AirMean.objects.order_by("step").values_list()),
    )
    rebuild()
    after = list(WaitEstimate.objects.order_by("wait").values())
    assert after == before[0] and compare() == []
    assert [r[1:] for r in AirMean.objects.order_by("step").values_list()] == [r[1:] for r in before[1]]
    refill(since=Turn.ESTIMATES)
    assert list(WaitEstimate.objects.order_by("wait").values()) == before[0]


def test_a_reading_asks_as_often_for_many_waits_as_for_one_and_never_looks_at_every_reading(work):
    wait = clamped(work)
    air(work, wait.since, [20])
    of_one = one_more(work, wait, 12)
    for _ in range(4):
        clamped(work)
    before = all_estimates()
    of_five = one_more(work, wait, 11)
    assert len(of_five) == len(of_one) and all_estimates() != before
    if connection.vendor == "sqlite":
        of_readings = [
            q["sql"] for q in of_five if q["sql"].startswith("SELECT") and "jobs_reading" in q["sql"]
        ]
        with connection.cursor() as cursor:
            plans = [str(cursor.execute(f"EXPLAIN QUERY PLAN {sql}").fetchall()) for sql in of_readings]
        assert plans and all("USING INDEX readings_of_a_place" in plan for plan in plans), plans


def test_a_reading_that_moves_nothing_leaves_the_schedule_as_it_stands(work):
    wait = clamped(work)
    air(work, wait.since, [20, 15])
    before = list(ReminderDue.objects.order_by("id").values())
    one_more(work, wait, 20)
    assert list(ReminderDue.objects.order_by("id").values()) == before, "with the keys they had"
    air(work, wait.since + 2 * HOUR, [11])
    after = list(ReminderDue.objects.filter(wait=wait, kind="ready").values_list("due_at", flat=True))
    assert set(after) == {estimate(wait).ready_at}


def test_a_corrected_start_moves_the_ready_time(work):
    wait = clamped(work)
    before = estimate(wait).ready_at
    correct_start(work.call(), wait=wait.id, since=wait.since - 5 * MINUTE, reason="the clock was read wrong")
    assert estimate(wait).ready_at == before - 5 * MINUTE
    moved = (timezone.localtime(at) for at in (wait.since, wait.since - 5 * MINUTE))
    assert estimate(wait).reason == "start corrected from {:%H:%M} to {:%H:%M}".format(*moved)
    for wrong in (wait.since - timedelta(days=30), work.now + HOUR, None):
        with pytest.raises(Invalid) as refused:
            correct_start(work.call(), wait=wait.id, since=wrong, reason="why not")
        assert refused.value.field == "since"
    assert compare() == []


def test_a_finished_wait_keeps_what_it_went_through(work):
    wait = clamped(work)
    air(work, wait.since, [20] * 12)
    work.now = wait.since + 20 * HOUR
    finish_wait(work.call(), wait=wait.id)
    kept = Event.objects.filter(kind="wait_finished").last().data["air"]
    assert (kept["place"], kept["quarters"], kept["mean_c"]) == ("shop", 12, "20.00")
    assert kept["need_s"] == 12 * 3600 and kept["age_s"] == pytest.approx(20 * 3600, rel=0.01)
    assert len(kept["sha256"]) == 64
    other = clamped(work)
    Reading.objects.all().delete()
    AirMean.objects.all().delete()
    finish_wait(work.call(), wait=other.id, reason="nothing was measured")
    assert Event.objects.filter(kind="wait_finished").last().data["air"] is None
