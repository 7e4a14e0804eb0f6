"""How far a joint or a coat has come, and when each step of it is reached, over any air past and expected."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from math import ceil, floor
from typing import Annotated

from calcs.asking.field_types import Choice, Duration, Length, Percent, Product, Temperature
from calcs.asking.inputs import Rows, check
from calcs.curing.age import LAG_SOURCE, Interval, first_below, in_wood, lag_of, progress, reach
from calcs.curing.points import Point, check_points
from calcs.curing.product_words import caution_sources, cautions, remarks, warning_sources, warnings
from calcs.curing.rates import (
    CLOSING,
    COAT_STEPS,
    GLUE_STEPS,
    PAUSES,
    SPOILS,
    Law,
    Laws,
    class_law,
    laws,
    steps_of,
)
from calcs.kit.errors import Unreadable
from calcs.kit.rounding import places
from calcs.kit.units import inches
from calcs.materials.product_sheets import Finish, Glue

OWN_POINTS = "the maker's own points, as entered"
LONGEST_S = 3650 * 86400
TEMP = Temperature("temperature", "-20", "60")
HUMIDITY = Percent("relative humidity", "1", "100")
SET_BY = {True: "unclamp", False: "touch_dry"}
"""The step by which a joint (true) or a coat has set: cold before it spoils what cold can spoil."""


@dataclass(frozen=True, kw_only=True)
class Climate:
    """A stretch of time [s] with its temperature [°C] and relative humidity [%]."""

    duration_s: Annotated[int, Duration("how long", 1, LONGEST_S)]
    temp_c: Annotated[Decimal, TEMP]
    rh_pct: Annotated[Decimal, HUMIDITY] = Decimal(50)

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class SheetPoint:
    """A step, a steady temperature [°C], and the time the maker gives for it [s]."""

    step: Annotated[str, Choice("step", tuple(dict.fromkeys((*GLUE_STEPS, *COAT_STEPS))))]
    temp_c: Annotated[Decimal, TEMP]
    time_s: Annotated[int, Duration("time", 1, LONGEST_S)]

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class Hardening:
    """A joint in clamps, or a coat put on, and the air around it.

    Parameters
    ----------
    glue, finish : Glue or Finish
        The one or the other.
    temp_c, rh_pct : Decimal
        Air from the end of history and forecast on; from the start where there is neither [°C, %].
    history, forecast : tuple of Climate
        Air since the clamps or the coat, and air expected after it.
    points : tuple of SheetPoint
        The maker's own times at several temperatures, two to six for a step.
    thickness_len : int, optional
        Wood around a glue line, which lags behind the air [1/8 µm]; without it the line is as the air.
    wood_c : Decimal, optional
        Wood at the start [°C]; as the first air unless told.
    mc_pct : Decimal, optional
        Moisture content of the wood [%].

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    glue: Annotated[Glue | None, Product("glue", Glue)] = None
    finish: Annotated[Finish | None, Product("finish", Finish)] = None
    temp_c: Annotated[Decimal, TEMP]
    rh_pct: Annotated[Decimal, HUMIDITY] = Decimal(50)
    history: Annotated[tuple[Climate, ...], Rows("stretches of air so far", Climate)] = ()
    forecast: Annotated[tuple[Climate, ...], Rows("stretches of air expected", Climate)] = ()
    points: Annotated[tuple[SheetPoint, ...], Rows("times of the maker's own sheet", SheetPoint, 0, 36)] = ()
    thickness_len: Annotated[int | None, Length("thickness of the wood", inches("1/8"), inches(12))] = None
    wood_c: Annotated[Decimal | None, Temperature("wood at the start", "-20", "60")] = None
    mc_pct: Annotated[Decimal | None, Percent("moisture content of the wood", "4", "30")] = None

    def __post_init__(self) -> None:
        check(self)
        if (self.glue is None) == (self.finish is None):
            raise Unreadable(
                "a glue or a finish is needed, and not both",
                field="glue",
                value=None if self.glue is None else "both",
                allowed="glue or finish",
            )
        check_points(
            self.own, steps=steps_of(self.sheet), least_c=self.sheet.min_temp_c, most_c=self.sheet.max_temp_c
        )

    @property
    def sheet(self) -> Glue | Finish:
        """The product's sheet."""
        found = self.glue or self.finish
        assert found is not None
        return found

    @property
    def own(self) -> tuple[Point, ...]:
        """The maker's own points."""
        return tuple(Point(step=p.step, temp_c=p.temp_c, time_s=p.time_s) for p in self.points)


@dataclass(frozen=True, kw_only=True)
class StepAt:
    """One step: times from the clamps or the coat [s], None where it is not reached in the air expected.

    ``need_s`` is its time in the sheet's own air, ``done_pct`` how far it had come after the history [%].
    For the end of a window (``scrape_to``, ``recoat_to``) heed ``earliest_s``, else ``latest_s`` to be sure.
    """

    step: str
    need_s: int
    done_pct: Decimal
    earliest_s: int | None
    likely_s: int | None
    latest_s: int | None


@dataclass(frozen=True, kw_only=True)
class HardeningOf:
    """Every step of a joint or a coat, and the length of the history [s].

    ``suspect``: it was colder than its least temperature before it had set, so there is no ready time: test
    it or redo it. ``paused``: it stands still until it is warmer.
    """

    steps: tuple[StepAt, ...]
    elapsed_s: int
    suspect: bool
    paused: bool
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def hardening(asked: Hardening) -> HardeningOf:
    """How far each step has come, and when it is reached: soonest, likely and slowest.

    Returns
    -------
    HardeningOf
        Whole seconds, the earliest rounded down and the others up. Where the joint or film is suspect, no
        step after that moment has a time.

    Notes
    -----
    Elapsed time, not working hours. Climate may lengthen a sheet's time; it shortens one only between the
    temperatures of the maker's own points. The range covers the rate law and the fit, not the batch
    nor how soon the wood follows.

    References
    ----------
    .. [1] ASTM C1074, equivalent age in Arrhenius form: written for concrete, borrowed here.

    Examples
    --------
    >>> from calcs.sheets import glue_classes
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
    """What the glue line or the film has around it, so far and from now on to the end of the reckoning."""
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
    """When it was, or will be, too cold before it has set [s]; None if it sets first."""
    cold_s = first_below(float(asked.sheet.min_temp_c), air)
    known = laws(asked.sheet, SET_BY[asked.glue is not None], asked.own)
    assert known is not None
    set_s = reach(known.likely, air, ())
    return cold_s if cold_s is not None and (set_s is None or cold_s < set_s) else None


def _step(
    name: str, known: Laws, past: list[Interval], coming: list[Interval], spoilt_s: float | None
) -> StepAt:
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
    """A window that would close before it opens, as its opening is never shortened, closes as it opens."""
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
    found = reach(law, past, coming)
    return None if found is not None and spoilt_s is not None and found > spoilt_s else found


def _wet_until(steps: Sequence[StepAt]) -> int | None:
    """Until when air can still spoil the film: the likely first recoat [s]."""
    return next((step.likely_s for step in steps if step.step == "recoat_from"), None)


def _sources(asked: Hardening, found: Sequence[tuple[str, Laws]]) -> tuple[str, ...]:
    own = {point.step for point in asked.points}
    figures = [
        f"{name}: {OWN_POINTS if name in own else asked.sheet.source.get(f'{name}_s', '')}"
        for name, _ in found
    ]
    lag = [LAG_SOURCE] if asked.glue is not None and asked.thickness_len is not None else []
    return (*figures, f"rate law: {found[0][1].source}", *lag)
