"""The range of an estimate: the earliest and latest time, by air and wood that may be otherwise."""

from math import exp, tan

import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from jobs.domain.waits.route import is_missed
from jobs.domain.workshop.commands import set_sheet
from jobs.models import Wait
from tests.domain.climate.waits import HOUR, MINUTE, air, clamped, estimate
from tests.shop_fixtures import QUICK, QUICK_FINISH, QUICK_GLUE, measured

pytestmark = [pytest.mark.django_db, pytest.mark.takes(3)]


# Moisture drives it: 4 h at 20 °C and 50 %. Unmeasured, it is glued at 20 °C and the shop's usual 45 %; the
# air may be 2 °C colder and 10 % drier, and the slowest law is the power 1.5 (common practice, no source).
# Vapour at 18 °C and 35 % is 0.35 x 2.064 kPa, at 20 °C and 50 % 0.5 x 2.339 kPa (the CRC Handbook's, from
# memory): 4 h / 0.6177 ^ 1.5 = 8.24 h. Warm and damp it is as on its sheet, no sooner.
def test_the_range_of_a_glue_that_needs_moisture_is_that_of_drier_and_damper_air(work):
    own = {"family": "polyurethane", "water_based": False, "unclamp_s": "4 h", "machine_s": "9 h"}
    own |= {"surface_s": "12 h", "full_s": "2 d"}
    set_sheet(work.call(), kind="glue", key="slow-damp", data=QUICK_GLUE | own)
    wait = clamped(work, "slow-damp")
    known = estimate(wait)
    assert known.earliest_at == wait.since + 4 * HOUR
    assert (known.latest_at - wait.since) / HOUR == pytest.approx(8.24, abs=0.02)


# Drying goes with the vapour-pressure deficit: 6 h at 20 °C and 50 %, 0.5 x 2.339 kPa. It is sealed at 20 °C
# and 45 %; the air may be 2 °C colder and 10 % damper, 0.45 x 2.064 kPa (the CRC Handbook's, from memory),
# and the slowest law is the power 1.3 (common practice, no source): 6 h / 0.794 ^ 1.3 = 8.10 h.
def test_the_range_of_a_coat_is_that_of_damper_and_drier_air(work):
    set_sheet(work.call(), kind="finish", key="slow-film", data=QUICK_FINISH | {"recoat_from_s": "6 h"})
    piece = work.accepted(**{**QUICK, "finish_face": "slow-film"})
    work.do_until(piece, "seal-1")
    known = estimate(Wait.objects.get(stage__piece=piece, kind="recoat", step=Wait.Step.RUNNING))
    assert known.earliest_at == known.wait.since + 6 * HOUR
    assert (known.latest_at - known.wait.since) / HOUR == pytest.approx(8.10, abs=0.02)


# Wood of 1 1/2 in between films of still air: half is 0.01905 m, 0.155 W/mK and 7.69 W/m²K give Bi = 0.945,
# whose root scipy finds (Incropera and DeWitt, from memory); or twice as fast (common practice, no source).
# The slowest law is the Arrhenius law of 1.3 x 6000 K, in wood that is 1 °C colder than the sensor says. Its
# sum is taken by scipy over the exponential by which the wood follows the fall from 20 to 12 °C.
def test_the_latest_time_is_that_of_wood_that_cools_twice_as_fast(work):
    wait = clamped(work)
    quarter = 15 * MINUTE
    fall = wait.since.replace(minute=0, second=0, microsecond=0) + HOUR
    rows = [
        {"at": fall + n * quarter, "temperature": "20" if n < 0 else "12", "humidity": 50}
        for n in range(-200, 140)
    ]
    measured(rows, source="sensor-1", temperature_unit="C", now=fall + 36 * HOUR)
    root = brentq(lambda z: z * tan(z) - 0.01905 / 0.13 / 0.155, 0.1, 1.5)
    begin, soon_h = (wait.since - fall) / HOUR, 0.01905**2 * 0.98e6 / (0.155 * root**2) / 3600 / 2

    def rate(hour: float) -> float:
        wood_c = 20 if hour < 0 else 12 + 8 * exp(-hour / soon_h)
        return exp(-1.3 * 6000 * (1 / (wood_c - 1 + 273.15) - 1 / 293.15))

    theirs = brentq(lambda end: quad(rate, begin, end, points=[0], limit=200)[0] - 12, 1, 40)
    assert (estimate(wait).latest_at - fall) / HOUR == pytest.approx(theirs, abs=0.05)


VARNISH = QUICK_FINISH | {
    "name": "Slow varnish", "family": "oil-polyurethane", "water_borne": False, "self_heating": True,
    "touch_dry_s": "6 h", "recoat_from_s": "10 h", "recoat_to_s": "12 h", "light_use_s": "48 h",
    "full_s": "30 d",
}  # fmt: skip


def test_a_coat_is_told_when_it_is_sure_though_its_window_may_close_before(work):
    """A coat too early spoils the one below."""
    set_sheet(work.call(), kind="finish", key="slow-varnish", data=VARNISH)
    piece = work.accepted(**{**QUICK, "finish_face": "slow-varnish"})
    work.do_until(piece, "seal-1")
    coat = Wait.objects.get(stage__piece=piece, kind="recoat", step=Wait.Step.RUNNING)
    air(work, coat.since, [16] * 13)
    said = estimate(coat)
    assert said.ready_at == said.latest_at > said.closes_at
    assert not is_missed(estimated(coat), said.closes_at + MINUTE), "it hardens still"
    assert is_missed(estimated(coat), said.ready_at + MINUTE)


def test_yellow_glue_may_be_as_slow_in_the_cold_as_the_rule_it_borrows_and_no_sooner(work):
    wait = clamped(work, "slow-pva")
    air(work, wait.since - 3 * HOUR, [15] * 5)
    said = estimate(wait)
    # 4 h at 20 °C; at 15 - 1 °C by 1.3 x 6000 K: exp(7800 x (1/287.15 - 1/293.15)) = 1.74.
    assert said.earliest_at == said.likely_at == wait.since + 4 * HOUR
    assert said.ready_at == said.latest_at >= wait.since + 1.74 * 4 * HOUR


def estimated(wait: Wait) -> Wait:
    return Wait.objects.select_related("estimate").get(id=wait.id)
