from dataclasses import replace
from decimal import Decimal
from math import pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from calcs.curing.age import Interval, first_below, in_wood, progress, reach
from calcs.curing.laws import laws
from calcs.curing.rates import rate
from calcs.materials.product_sheets import finish_classes, glue_classes

EPOXY = laws(replace(glue_classes()["epoxy"], min_temp_c=Decimal(-5)), "full").likely
FILM = laws(replace(finish_classes()["water-borne"], min_temp_c=Decimal(-5)), "full").likely
DAY, HOUR = 86400, 3600
AIR = st.builds(
    Interval,
    st.floats(min_value=1, max_value=5 * DAY),
    st.floats(min_value=-10, max_value=40),
    st.floats(min_value=5, max_value=95),
)


def swing(second):
    """A shop that swings between 12 and 24 °C in a day, and 40 to 60 % RH against it."""
    turn = sin(2 * pi * second / DAY)
    return 18 + 6 * turn, 50 - 10 * turn


def stretches(step_s, until_s):
    return [Interval(step_s, *swing(start + step_s / 2)) for start in range(0, until_s, step_s)]


# The same rate integrated over the curve by scipy.integrate.quad; the rate has a kink at the sheet's
# temperature, where quad itself is the less sure; intervals of 2 min leave less than 1e-6.
@pytest.mark.parametrize("law", [EPOXY, FILM], ids=["epoxy", "film"])
@pytest.mark.parametrize("days", [1, 3])
def test_progress_matches_integration_of_the_curve(law, days):
    theirs, _ = quad(lambda s: rate(law, *swing(s)), 0, days * DAY, limit=500, epsabs=1e-3)
    assert progress(law, stretches(120, days * DAY)) == pytest.approx(theirs, rel=1e-5)


# Wood that follows the air first order, by scipy.integrate.solve_ivp, then its age by quad.
def test_wood_lag_matches_the_differential_equation():
    lag, air = 3600.0, [Interval(2 * HOUR, 10, 50), Interval(5 * HOUR, 25, 50), Interval(HOUR, 5, 50)]
    found = in_wood(air, lag_s=lag, wood_c=20)

    def theirs(until, start, air_c):
        answer = solve_ivp(
            lambda _, t: (air_c - t) / lag, (0, until), [start], dense_output=True, rtol=1e-10, atol=1e-10
        )
        return answer.sol

    age, wood, law = 0.0, 20.0, EPOXY
    for duration, air_c, rh in air:
        curve = theirs(duration, wood, air_c)
        age += quad(lambda s, c=curve, h=rh: rate(law, float(c(s)[0]), h), 0, duration, limit=200)[0]
        wood = float(curve(duration)[0])
    assert sum(part.duration_s for part in found) == pytest.approx(8 * HOUR)
    assert progress(law, found) == pytest.approx(age, rel=1e-3)


@given(st.lists(AIR, max_size=6), st.floats(min_value=0.01, max_value=0.99))
def test_a_history_may_be_cut_anywhere(history, where):
    cut = [
        piece for d, t, h in history for piece in (Interval(d * where, t, h), Interval(d * (1 - where), t, h))
    ]
    assert progress(EPOXY, cut) == pytest.approx(progress(EPOXY, history))


@given(st.lists(AIR, min_size=1, max_size=6), st.floats(min_value=0.01, max_value=0.999))
def test_what_is_reached_at_a_moment_is_the_age_there(history, share):
    need = progress(EPOXY, history) * share
    when = reach(EPOXY, history[:2], history[2:], need)
    if need > 0:
        left, so_far = when, []
        for d, t, h in history:
            so_far.append(Interval(min(d, max(left, 0)), t, h))
            left -= d
        assert progress(EPOXY, so_far) == pytest.approx(need, rel=1e-6)


def test_what_the_forecast_does_not_reach_has_no_time():
    assert reach(EPOXY, [], [Interval(HOUR, 21, 50)]) is None
    assert reach(EPOXY, [Interval(HOUR, 30, 50)], [], 3600) == pytest.approx(3600)


def test_the_first_cold_is_found():
    air = [Interval(100, 20, 50), Interval(50, 9, 50), Interval(50, 8, 50)]
    assert first_below(10, air) == 100
    assert first_below(8, air) is None


@given(st.lists(AIR, min_size=1, max_size=4), st.floats(min_value=60, max_value=40000))
def test_wood_stays_between_its_start_and_the_air(history, lag):
    found = in_wood(history, lag_s=lag, wood_c=15)
    temps = [15, *(part.temp_c for part in history)]
    assert all(min(temps) - 1e-9 <= part.temp_c <= max(temps) + 1e-9 for part in found)
    assert sum(p.duration_s for p in found) == pytest.approx(sum(p.duration_s for p in history))
