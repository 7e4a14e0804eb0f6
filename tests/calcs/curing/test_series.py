"""The clock's series against the sum over intervals it stands for, and against integration by SciPy."""

from math import exp, pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from calcs.curing import age
from calcs.curing.laws import laws
from calcs.curing.series import (
    DAY,
    STEP_S,
    DailyProfile,
    Series,
    colder,
    daily_profile,
    in_wood,
    series,
    shifted,
    steady,
    warmer,
)
from calcs.curing.series_ages import Ages, coldest, first_below, mean_humidity
from calcs.materials.product_sheets import glue_classes

EPOXY = laws(glue_classes()["epoxy"], "unclamp").likely  # type: ignore[union-attr]
FLAT = steady(21.1, 50)


def night_setback(moment_s: float) -> float:
    """A shop that swings by 3 °C about 19 °C, coldest at 4 in the morning."""
    return 19 - 3 * sin(2 * pi * (moment_s / 86400 + 1 / 12))


def sampled(curve, steps: range) -> dict[int, tuple[float, float]]:
    """The mean of a curve over each quarter hour, as sensors give it."""
    return {n: (quad(curve, n * STEP_S, (n + 1) * STEP_S)[0] / STEP_S, 50.0) for n in steps}


def arrhenius(temp_c: float) -> float:
    """ASTM C1074 in Arrhenius form with the class's 6000 K, never faster than at the sheet's 21.1 °C."""
    return min(exp(-6000 * (1 / (temp_c + 273.15) - 1 / (21.111 + 273.15))), 1.0)


def test_the_age_along_a_curve_is_its_integral():
    measured = sampled(night_setback, range(2 * DAY))
    ages = Ages(EPOXY, series(measured, first=0, profile=FLAT))
    for begin, end in ((0, 86400), (10_000, 100_000), (5_000, 6_000)):
        whole = quad(lambda s: arrhenius(night_setback(s)), begin, end, limit=400)[0]
        assert ages.at(end) - ages.at(begin) == pytest.approx(whole, rel=2e-3)


def test_the_moment_it_is_reached_is_that_of_a_root_finder():
    measured = sampled(night_setback, range(3 * DAY))
    ages = Ages(EPOXY, series(measured, first=0, profile=FLAT))
    since = 30_000.0

    def missing(moment: float) -> float:
        grown = quad(lambda s: arrhenius(night_setback(s)), since, moment, limit=400)[0]
        return grown - EPOXY.need_s

    assert ages.reach(since) == pytest.approx(brentq(missing, since, 3 * 86400), abs=120)


def test_after_the_series_every_day_is_the_habit():
    day = tuple((night_setback(n * STEP_S), 50.0) for n in range(DAY))
    ages = Ages(EPOXY, series({}, first=0, profile=DailyProfile(day=day, spread_c=0)))
    intervals = [age.Interval(STEP_S, *day[n % DAY]) for n in range(40 * DAY)]
    for need in (3600.0, 86400.0, 20 * 86400.0):
        assert ages.reach(0, need) == pytest.approx(age.reach(EPOXY, intervals, (), need), rel=2e-3)
    assert ages.at(10.25 * 86400) == pytest.approx(
        age.progress(EPOXY, intervals[: 10 * DAY + DAY // 4]), rel=2e-3
    )


@given(
    temps=st.lists(st.floats(12, 30), min_size=1, max_size=40),
    since=st.floats(0, 39 * STEP_S),
    need=st.floats(60, 5 * 86400),
)
def test_it_is_the_sum_over_intervals(temps, since, need):
    """With steps of one temperature each, the series and `calcs.age` are the same arithmetic."""
    air = tuple((round(t * 20) / 20, 50.0) for t in temps)
    since = min(since, len(air) * STEP_S)
    ages = Ages(EPOXY, Series(first=0, air=air, known=len(air), profile=FLAT))
    place = int(since // STEP_S)
    rest = [age.Interval(STEP_S, *pair) for pair in air[place:]]
    if rest:
        rest[0] = rest[0]._replace(duration_s=(place + 1) * STEP_S - since)
    forever = [age.Interval(400 * 86400, 21.1, 50)]
    wanted = age.reach(EPOXY, rest, forever, need)
    assert ages.reach(since, need) == pytest.approx(since + wanted, abs=1e-3)
    reached = ages.reach(since, need)
    assert ages.at(reached) - ages.at(since) == pytest.approx(need, abs=1e-3)


def test_below_the_least_temperature_nothing_is_ever_reached():
    assert Ages(EPOXY, series({}, first=0, profile=steady(2, 50))).reach(0) is None


def test_a_short_gap_is_bridged_and_a_long_one_goes_back_to_the_habit_and_out_of_it():
    made = series({0: (20, 40), 4: (24, 60), 200: (10, 50)}, first=0, profile=steady(15, 45))
    assert made.air[1:4] == ((21, 45), (22, 50), (23, 55))
    gap = [temp for temp, _ in made.air[5:200]]
    assert gap == sorted(gap, reverse=True) and 23 < gap[0] < 24 and 10 < gap[-1] < 11
    assert gap[len(gap) // 2] == pytest.approx(15, abs=0.1) and made.known == 201
    before = [temp for temp, _ in series({90: (20, 40)}, first=0, profile=steady(15, 45)).air[:90]]
    assert before == sorted(before) and before[0] == pytest.approx(15, abs=0.1) and 19 < before[-1] < 20


def test_what_is_expected_comes_back_from_the_last_measurement_to_the_habit():
    made = series({0: (10, 80)}, first=0, profile=steady(20, 40))
    expected = [temp for temp, _ in made.air[1:]]
    assert expected == sorted(expected) and expected[-1] == pytest.approx(20, abs=0.01)
    # After one fade time (6 h) 37 % of the departure is left: 20 - 10/e.
    assert expected[24 - 1] == pytest.approx(20 - 10 / exp(1), abs=0.01)


def test_a_habit_is_the_mean_of_its_days():
    measured = {n: (20 + n // DAY, 50.0) for n in range(2 * DAY)}
    profile = daily_profile(measured, (1, 1))
    assert set(profile.day) == {(20.5, 50)} and profile.spread_c == pytest.approx(0.5)
    assert daily_profile({5: (18, 40)}, (1, 1)).day == ((18, 40),) * DAY
    assert daily_profile({}, (19, 45)) == steady(19, 45)


def test_wood_follows_the_air_like_a_first_order_system():
    made = Series(first=0, air=((20, 50), *((10, 50),) * 40), known=41, profile=FLAT)
    wood = in_wood(made, 3600)
    for n in (1, 4, 20):
        begin, end = (n - 1) * STEP_S, n * STEP_S
        mean = quad(lambda s: 10 + 10 * exp(-s / 3600), begin, end)[0] / STEP_S
        assert wood.air[n][0] == pytest.approx(mean, abs=1e-6)


def test_wood_of_a_lag_that_is_not_known_lies_between_the_sooner_and_the_later():
    air = ((20, 50), *((10, 60),) * 20, *((18, 40),) * 20)
    made = Series(first=0, air=air, known=41, profile=FLAT)
    soon, wood, late = (in_wood(made, lag_s) for lag_s in (1800, 3600, 7200))
    cold, warm = colder(soon, late), warmer(soon, late)
    off = 0.5  # where air turns, wood of a lag between the two may for minutes be outside both
    rows = zip(cold.air, wood.air, warm.air, strict=True)
    assert all(c[0] - off <= w[0] <= h[0] + off for c, w, h in rows)
    assert cold.air[5] == soon.air[5] and cold.air[25] == late.air[25], "it cools sooner, and warms later"
    assert warm.air[5] == (late.air[5][0], 60)


def test_the_coldest_and_the_first_cold_moment():
    made = series({n: (20 - n, 50) for n in range(10)}, first=0, profile=steady(20, 50))
    assert coldest(made, since_s=0, until_s=90 * STEP_S) == (9 * STEP_S, 11)
    assert coldest(made, since_s=0, until_s=5 * STEP_S) == (4 * STEP_S, 16)
    assert coldest(made, since_s=10 * STEP_S, until_s=90 * STEP_S) is None, "nothing was measured then"
    assert first_below(made, 15, since_s=0, until_s=1e9) == 6 * STEP_S
    assert first_below(made, 15, since_s=0, until_s=5 * STEP_S) is None


def test_air_that_may_be_otherwise_stays_between_dry_and_saturated():
    made = series({0: (20, 50), 1: (20, 98), 2: (20, 3)}, first=0, profile=steady(18, 60))
    assert shifted(made, known=(1, 5), expected=(2, 10)).air[:3] == ((21, 55), (21, 100), (21, 8))
    assert shifted(made, known=(-1, -5), expected=(-2, -10)).air[2] == (19, 0)
    assert shifted(made, known=(1, 5), expected=(2, -10)).profile.day[0] == (20, 50)


def test_the_humidity_of_a_span_is_of_what_was_measured_in_it():
    made = series({n: (20, 40 + n) for n in range(10)}, first=0, profile=steady(20, 50))
    assert mean_humidity(made, since_s=2 * STEP_S, until_s=5 * STEP_S) == 43
    assert mean_humidity(made, since_s=0, until_s=900 * STEP_S) == 44.5
    assert mean_humidity(made, since_s=10 * STEP_S, until_s=900 * STEP_S) is None


def test_after_the_series_the_habit_says_when_it_is_cold():
    cold_at = 30
    day = tuple((5.0 if n == cold_at else 20.0, 50.0) for n in range(DAY))
    made = series({0: (20, 50)}, first=0, profile=DailyProfile(day=day, spread_c=0.0))
    late = 5 * DAY * STEP_S
    found = first_below(made, 10, since_s=late, until_s=float("inf"))
    assert found == late + cold_at * STEP_S
    assert first_below(made, 10, since_s=late, until_s=late + cold_at * STEP_S) is None
    assert first_below(made, 4, since_s=late, until_s=float("inf")) is None
