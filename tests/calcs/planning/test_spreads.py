"""Spreads learned from a log, against SciPy and normal quantiles."""

from math import exp, log, nan

import numpy
import pytest
from scipy import stats

from calcs.kit.errors import CalcError
from calcs.planning.spreads import (
    MEDIAN_ERROR,
    Interruptions,
    Spread,
    Uncertainty,
    interruptions_of,
    pace_of,
    spread_of,
    three_points,
)

LOGGED = [30, 41, 44, 52, 58, 61, 75, 90, 132]


def test_a_long_log_says_median_and_spread_itself() -> None:
    """The prior is worth 4 jobs of 36,004. SciPy 1.17 (median_abs_deviation, scale "normal")."""
    log_minutes = numpy.log(LOGGED)
    learned = spread_of(LOGGED * 4000)
    assert learned.median == pytest.approx(58)
    assert learned.log_sd == pytest.approx(
        float(stats.median_abs_deviation(log_minutes, scale="normal")), abs=1e-3
    )


def test_without_a_log_the_usual_value_stands_and_its_median_is_unsure() -> None:
    usual = spread_of([], usual=60)
    assert usual.median == pytest.approx(60)
    assert usual.log_sd == pytest.approx(0.45)
    assert usual.kind_sd == pytest.approx(0.282, abs=0.001), "0.45 * sqrt(pi / 2) / sqrt(4)"


def test_as_many_jobs_as_the_prior_is_worth_meet_it_half_way() -> None:
    assert spread_of([90] * 4, usual=40).median == pytest.approx(60), "the geometric mean of 90 and 40"


def test_one_job_logged_ten_times_too_long_moves_little() -> None:
    honest, slipped = spread_of(LOGGED), spread_of([*LOGGED[:-1], 1320])
    assert slipped == honest


def test_the_error_of_a_median_is_that_of_normal_samples() -> None:
    """Two thousand samples of 401 normal values: seed 7, NumPy's generator."""
    medians = numpy.median(numpy.random.default_rng(7).normal(size=(2000, 401)), axis=1)
    assert float(medians.std() * 401**0.5) == pytest.approx(MEDIAN_ERROR, rel=0.04)


def test_three_points_are_the_twentieth_parts_of_a_log_normal_time() -> None:
    time = three_points(least=20, likely=40, most=80)
    shape = stats.lognorm(s=time.log_sd, scale=time.median)
    assert (shape.ppf(0.05), shape.ppf(0.95)) == pytest.approx((20, 80), rel=1e-3)


def test_a_time_is_never_below_its_least() -> None:
    assert Spread(median=60, log_sd=0.5, least=45).minutes(-3) == 45
    assert Spread(median=60, log_sd=0.5).minutes(1, log(2)) == pytest.approx(120 * exp(0.5))


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: spread_of([30, 0]), "minutes"),
        (lambda: spread_of([30, nan]), "minutes"),
        (lambda: spread_of([]), "count of minutes"),
        (lambda: spread_of([30], usual=-1), "usual"),
        (lambda: three_points(least=50, likely=40, most=80), "least"),
        (lambda: three_points(least=30, likely=40, most=35), "most"),
        (lambda: Spread(median=-1), "median"),
        (lambda: Spread(median=1, log_sd=3.5), "log_sd"),
        (lambda: Spread(median=1, kind_sd=-0.1), "kind_sd"),
        (lambda: Spread(median=1, least=-1), "least"),
        (lambda: Interruptions(lost_pct=61), "lost_pct"),
        (lambda: Interruptions(half_days=0), "half_days"),
        (lambda: Interruptions(log_sd=-1), "log_sd"),
        (lambda: interruptions_of(half_days=5, lost=6, losses=1), "half_days"),
        (lambda: interruptions_of(half_days=5, lost=1, losses=2), "lost"),
        (lambda: interruptions_of(half_days=5, lost=1, losses=-1), "losses"),
        (lambda: Uncertainty(job_log_sd=nan), "job_log_sd"),
    ],
)
def test_bad_values_are_named(make, field: str) -> None:
    with pytest.raises(CalcError) as refused:
        make()
    assert refused.value.field == field and str(refused.value.value) in str(refused.value.detail)


def test_who_is_slow_at_all_that_was_logged_is_slow_at_the_rest() -> None:
    usual = {"sanding": 60.0, "milling": 30.0, "joints": 90.0}
    pace = pace_of({"sanding": [90] * 200, "milling": [45] * 200, "drawing": [7]}, usual)
    assert pace.factor == pytest.approx(1.5, rel=0.01)
    assert pace.log_sd < 0.03
    assert pace_of({}, usual).factor == 1
    few = pace_of({"sanding": [90]}, usual)
    assert 1 < few.factor < 1.5 and pace.log_sd < few.log_sd < pace_of({}, usual).log_sd


def test_few_losses_say_little_of_how_many_come() -> None:
    """A count of chance events is unsure by its square root (Poisson); two usual losses count too."""
    assert interruptions_of(half_days=0, lost=0, losses=0).lost_pct == pytest.approx(4)
    learned = interruptions_of(half_days=900, lost=96, losses=14)
    assert learned.lost_pct == pytest.approx(10)
    assert learned.half_days == pytest.approx(100 / 16)
    assert learned.log_sd == pytest.approx(0.25)
