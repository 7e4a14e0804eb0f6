"""Progress of a joint or a coat, and the time of each of its steps, over measured and expected air.

Air is a history, a forecast after it, and one steady air from then on. Each step gets an earliest, a likely
and a latest time; they differ by the exponents of the law and by the fit of the maker's own points.

References
----------
.. [1] ASTM C1074, equivalent age in Arrhenius form: written for concrete, borrowed here (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from math import ceil, floor
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.curing.age import Interval, first_below, in_wood, progress, reach
from calcs.curing.hardening_inputs import LONGEST_S, OWN_POINTS, Climate, Hardening
from calcs.curing.heat_lag import LAG_SOURCE, lag_of
from calcs.curing.laws import CLOSING, PAUSES, SPOILS, Laws, class_law, laws, steps_of
from calcs.curing.product_words import caution_sources, cautions, remarks, warning_sources, warnings
from calcs.curing.rates import Law
from calcs.kit.rounding import places

SET_BY = {True: "unclamp", False: "touch_dry"}
"""The step by which a joint (true) or a coat has set: cold before it spoils what cold can spoil."""


@dataclass(frozen=True, kw_only=True)
class StepAt:
    """One step of a joint or a coat; times from the clamps or the coat.

    Attributes
    ----------
    step : str
        One of the steps of the product, such as "unclamp" or "recoat_from".
    need_s : int
        Its time in the sheet's own air [s].
    done_pct : Decimal
        Progress at the end of the history, to 0.1 [%]; 100 at most.
    earliest_s, likely_s, latest_s : int or None
        Times [s]; None where the step is not reached in the air expected. For the end of a window
        (``scrape_to``, ``recoat_to``) heed ``earliest_s``, else ``latest_s`` to be sure.
    """

    step: Annotated[str, Figure("For")]
    need_s: Annotated[int, Figure("Needs at the sheet's temperature")]
    done_pct: Annotated[Decimal, Figure("Done")]
    earliest_s: Annotated[int | None, Figure("At the earliest")]
    likely_s: Annotated[int | None, Figure("Likely")]
    latest_s: Annotated[int | None, Figure("At the latest", quiet=True)]


@dataclass(frozen=True, kw_only=True)
class HardeningOf:
    """Every step of a joint or a coat.

    Attributes
    ----------
    steps : tuple of StepAt
        In the order of the product's steps.
    elapsed_s : int
        Length of the history [s].
    suspect : bool
        True where it was colder than its least temperature before it had set. There is no ready time: test it
        or redo it.
    paused : bool
        True where hardening makes no progress until it is warmer.
    warnings, cautions, notes, source : tuple of str
        Sentences for the maker, and the sources.
    """

    steps: Annotated[tuple[StepAt, ...], Figure("Step by step")]
    elapsed_s: Annotated[int, Figure("So far")]
    suspect: Annotated[bool, Figure("Suspect")]
    paused: Annotated[bool, Figure("Paused")]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def hardening(asked: Hardening) -> HardeningOf:
    """Return how far each step has come, and when it is reached: earliest, likely and latest.

    Parameters
    ----------
    asked : Hardening
        Product sheet, air [°C, %] and, for glue, thickness of the wood [1/8 µm].

    Returns
    -------
    HardeningOf
        Whole seconds, the earliest rounded down and the others up. Where the joint or film is suspect, no
        step after that moment has a time.

    Notes
    -----
    A step is reached when Σ rate Δt equals its time on the sheet; see `calcs.curing.age` and
    `calcs.curing.laws`. Times are elapsed time, not working hours. Climate may lengthen a sheet's time. It
    shortens one only between the temperatures of the maker's own points. The range covers the rate law and
    the fit, not the batch nor how soon the wood follows.

    References
    ----------
    .. [1] ASTM C1074, equivalent age in Arrhenius form: written for concrete, borrowed here (from memory).
    .. [2] The class's law with its source: ``calcs/tables/rate_laws.csv``.

    Examples
    --------
    >>> from calcs.materials.product_sheets import glue_classes
    >>> cold = hardening(Hardening(glue=glue_classes()["epoxy"], temp_c=Decimal("16.2")))
    >>> [round(step.likely_s / 3600, 1) for step in cold.steps if step.step == "unclamp"]  # 24 h at 21.1 °C
    [33.9]
    """
    sheet = asked.sheet
    past, coming = _air(asked)
    cold = class_law(sheet.family).cold
    spoilt_s = _spoilt(asked, past + coming) if cold == SPOILS else None
    elapsed = sum(row.duration_s for row in asked.history)
    found = [(name, each) for name in steps_of(sheet) if (each := laws(sheet, name, asked.own))]
    steps = _in_order([_step(name, each, past, coming, spoilt_s) for name, each in found])
    now_c = coming[0].temp_c
    return HardeningOf(
        steps=steps,
        elapsed_s=elapsed,
        suspect=spoilt_s is not None and spoilt_s < max(elapsed, 1),
        paused=cold == PAUSES and now_c < float(sheet.min_temp_c),
        warnings=warnings(asked, past + coming, spoilt_s, _wet_until(steps)),
        cautions=cautions(sheet),
        notes=remarks(asked, found),
        source=(*_sources(asked, found), *caution_sources(sheet), *warning_sources(asked)),
    )


def _air(asked: Hardening) -> tuple[list[Interval], list[Interval]]:
    """Return the air around the glue line or the film: so far, and from now on to the end of the calculation.

    For a glue line with a thickness these are the temperatures of the wood, which lags behind the air.
    """
    last = Climate(duration_s=LONGEST_S, temp_c=asked.temp_c, rh_pct=asked.rh_pct)
    air = [
        Interval(row.duration_s, float(row.temp_c), float(row.rh_pct))
        for row in (*asked.history, *asked.forecast, last)
    ]
    so_far = len(asked.history)
    if asked.glue is None or asked.thickness_len is None:
        return air[:so_far], air[so_far:]
    lag_s = lag_of(asked.thickness_len)
    wood_c = None if asked.wood_c is None else float(asked.wood_c)
    within = in_wood(air, lag_s=lag_s, wood_c=wood_c)
    elapsed, count, passed = sum(row.duration_s for row in asked.history), 0, 0.0
    while passed < elapsed - 1e-6:
        passed += within[count].duration_s
        count += 1
    return within[:count], within[count:]


def _spoilt(asked: Hardening, air: Sequence[Interval]) -> float | None:
    """Return when it was, or will be, too cold before it has set [s]; None if it sets first."""
    cold_s = first_below(float(asked.sheet.min_temp_c), air)
    known = laws(asked.sheet, SET_BY[asked.glue is not None], asked.own)
    assert known is not None
    set_s = reach(known.likely, air, ())
    return cold_s if cold_s is not None and (set_s is None or cold_s < set_s) else None


def _step(
    name: str, known: Laws, past: list[Interval], coming: list[Interval], spoilt_s: float | None
) -> StepAt:
    """Return one step with its times [s] and its progress [%].

    Parameters
    ----------
    name : str
        The step.
    known : Laws
        Its earliest, likely and latest law.
    past, coming : list of Interval
        Air so far, and air expected.
    spoilt_s : float or None
        Moment from which the joint or film is suspect [s].
    """
    times = [_time(law, past, coming, spoilt_s) for law in (known.earliest, known.likely, known.latest)]
    done = progress(known.likely, past) / known.likely.need_s * 100
    return StepAt(
        step=name,
        need_s=round(known.likely.need_s),
        done_pct=places(min(done, 100.0), 1),
        earliest_s=None if times[0] is None else floor(times[0] + 1e-6),
        likely_s=None if times[1] is None else ceil(times[1] - 1e-6),
        latest_s=None if times[2] is None else ceil(times[2] - 1e-6),
    )


def _in_order(steps: Sequence[StepAt]) -> tuple[StepAt, ...]:
    """Return the steps with each window closing no sooner than it opens.

    An opening is never shortened, while a closing may be. A window that would close first closes as it opens.
    """
    opens = {step.step.removesuffix("from"): step.likely_s for step in steps if step.step.endswith("_from")}
    return tuple(
        replace(step, earliest_s=max(step.earliest_s, opening))
        if step.step in CLOSING
        and step.earliest_s is not None
        and (opening := opens.get(step.step.removesuffix("to"))) is not None
        else step
        for step in steps
    )


def _time(law: Law, past: list[Interval], coming: list[Interval], spoilt_s: float | None) -> float | None:
    """Return when a law reaches its step [s]; None where that is after the joint or film was spoilt."""
    found = reach(law, past, coming)
    return None if found is not None and spoilt_s is not None and found > spoilt_s else found


def _wet_until(steps: Sequence[StepAt]) -> int | None:
    """Return until when air can still spoil the film: the likely first recoat [s]."""
    return next((step.likely_s for step in steps if step.step == "recoat_from"), None)


def _sources(asked: Hardening, found: Sequence[tuple[str, Laws]]) -> tuple[str, ...]:
    """Return the source of each step's time, of the rate law, and of the lag of the wood."""
    own = {point.step for point in asked.points}
    figures = [
        f"{name}: {OWN_POINTS if name in own else asked.sheet.source.get(f'{name}_s', '')}"
        for name, _ in found
    ]
    lag = [LAG_SOURCE] if asked.glue is not None and asked.thickness_len is not None else []
    return (*figures, f"rate law: {found[0][1].source}", *lag)
