from dataclasses import replace
from decimal import Decimal
from itertools import pairwise
from math import exp

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import linregress

from calcs.curing.laws import CLOSING, laws, steps_of
from calcs.curing.points import Point, check_points, fit
from calcs.curing.rates import rate
from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.materials.product_sheets import finish_classes, glue_classes
from tests.published.printed import rows

CLASSES = {**glue_classes(), **{f"finish-{key}": f for key, f in finish_classes().items()}}
EPOXY, PVA = glue_classes()["epoxy"], glue_classes()["pva"]
WATER_BORNE = finish_classes()["water-borne"]
TEMPS = st.floats(min_value=-20, max_value=60)
HUMIDITIES = st.floats(min_value=1, max_value=100)


def celsius(fahrenheit):
    return (Decimal(fahrenheit) - 32) * 5 / 9


def point(temp_c, time_s, step="unclamp"):
    return Point(step=step, temp_c=Decimal(str(temp_c)), time_s=time_s)


def steady(law, temp_c, rh_pct=50.0):
    return law.need_s / rate(law, temp_c, rh_pct)


# The whole chart of each kind: slope and largest misfit by scipy.stats.linregress, an independent fit.
@pytest.mark.parametrize("step", ["dry", "sprayed dry"])
def test_the_fit_is_that_of_scipy(step):
    own = [
        point(round(celsius(row["temperature_f"]), 2), int(row["minutes"]) * 60)
        for row in rows("cure_chart")
        if row["step"] == step
    ]
    x = [1 / (float(p.temp_c) + 273.15) for p in own]
    y = numpy.log([p.time_s for p in own])
    theirs = linregress(x, y)
    found = fit(own)
    assert found.rate_k == pytest.approx(theirs.slope, rel=1e-9)
    off = max(abs(y - theirs.intercept - theirs.slope * numpy.array(x)))
    assert found.misfit == pytest.approx(exp(off) - 1, rel=1e-6)


# By the same table at 15 and 20 °C, 1.7056 and 2.3388 kPa: a film at 15 °C and 50 % dries 1.371 times as long
# as at 20 °C and 50 %, and at 20 °C and 75 % twice as long.
def test_a_water_borne_film_dries_by_the_vapour_pressure_deficit():
    law = laws(replace(WATER_BORNE, ref_temp_c=Decimal(20)), "recoat_from").likely
    assert steady(law, 15, 50) / law.need_s == pytest.approx(2.3388 / 1.7056, rel=0.002)
    assert steady(law, 20, 75) / law.need_s == pytest.approx(2, rel=1e-9)
    assert rate(law, 20, 100) == 0


def test_one_part_polyurethane_is_slower_in_dry_air():
    law = laws(glue_classes()["polyurethane"], "unclamp").likely
    ref = law.ref_temp_c
    assert steady(law, ref, 25) == pytest.approx(2 * law.need_s)
    assert steady(law, ref, 80) == pytest.approx(law.need_s)


def test_pva_keeps_its_time_and_humidity_hardly_matters():
    known = laws(PVA, "unclamp")
    for temp, rh in ((14, 80), (21, 30)):
        assert steady(known.likely, temp, rh) == pytest.approx(PVA.unclamp_s)
    assert steady(known.latest, 14, 50) > 1.5 * PVA.unclamp_s


@given(st.sampled_from(sorted(CLASSES)), TEMPS, HUMIDITIES)
def test_nothing_is_faster_than_its_sheet_and_the_range_is_in_order(key, temp, rh):
    sheet = CLASSES[key]
    for step in steps_of(sheet):
        known = laws(sheet, step)
        if known is None:
            continue
        assert 0 <= rate(known.likely, temp, rh) <= 1 + 1e-12
        slow, fast = rate(known.latest, temp, rh), rate(known.earliest, temp, rh)
        assert slow <= rate(known.likely, temp, rh) + 1e-12
        assert fast >= rate(known.likely, temp, rh) - 1e-12
        if step not in CLOSING:
            assert fast <= 1 + 1e-12


@given(st.sampled_from(sorted(CLASSES)), TEMPS, TEMPS, HUMIDITIES)
def test_warmth_never_slows(key, one, other, rh):
    cold, warm = sorted((one, other))
    law = laws(CLASSES[key], "full").likely
    assert rate(law, cold, rh) <= rate(law, warm, rh) + 1e-12


def test_a_window_may_close_sooner_in_the_heat():
    known = laws(PVA, "scrape_to")
    assert rate(known.earliest, 31, 50) > 1.9
    assert rate(known.likely, 31, 50) == pytest.approx(1)


@given(
    st.lists(st.integers(min_value=13, max_value=32), min_size=2, max_size=6, unique=True),
    st.lists(st.floats(min_value=1, max_value=1.5), min_size=6, max_size=6),
    st.floats(min_value=-5, max_value=45),
)
def test_own_points_stand_and_shorten_only_between_them(whole, factors, temp):
    temps, longest_first = sorted(Decimal(t) for t in whole), [10**6]
    for factor in factors:
        longest_first.append(round(longest_first[-1] / factor))
    longest_first = longest_first[: len(temps)]
    own = [point(t, s) for t, s in zip(temps, longest_first, strict=True)]
    sheet = replace(EPOXY, min_temp_c=Decimal(-10), max_temp_c=Decimal(50))
    law = laws(sheet, "unclamp", own).likely
    for each in own:
        assert steady(law, float(each.temp_c)) == pytest.approx(each.time_s, rel=1e-6)
    assert steady(law, temp) >= longest_first[-1] * (1 - 1e-6)
    for colder, warmer in pairwise(own):
        middle = float(colder.temp_c + warmer.temp_c) / 2
        assert warmer.time_s * (1 - 1e-6) <= steady(law, middle) <= colder.time_s * (1 + 1e-6)


def test_two_points_leave_no_misfit():
    assert fit([point(10, 7200), point(20, 3600)]).misfit == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(
    "points, field, error",
    [
        ([point(15, 100)], "points", OutOfRange),  # one temperature is no law
        ([point(15 + n, 100) for n in range(7)], "points", OutOfRange),  # more than six
        ([point(15, 100), point(15, 90)], "points", OutOfRange),  # one temperature twice
        ([point(15, 100), point(20, 101)], "points", OutOfRange),  # longer where warmer
        ([point(15, 1000), point(16, 100)], "points", OutOfRange),  # tenfold for a degree
        ([point(12, 100), point(20, 90)], "points[1].temp", OutOfRange),  # colder than its use
        ([point(15, 100), point(33, 90)], "points[2].temp", OutOfRange),  # warmer than its use
        ([point(15, 0), point(20, 90)], "points[1].time", OutOfRange),
        ([point(15, 1.5), point(20, 1)], "points[1].time", Unreadable),
        ([point(15, 100, "recoat_from"), point(20, 90)], "points[1].step", Unknown),
    ],
)
def test_points_that_cannot_be(points, field, error):
    with pytest.raises(error) as caught:
        check_points(points, steps=steps_of(PVA), least_c=PVA.min_temp_c, most_c=PVA.max_temp_c)
    assert caught.value.field == field and caught.value.allowed


def test_a_sheet_without_a_figure_has_no_law():
    assert laws(glue_classes()["urea"], "scrape_from") is None
