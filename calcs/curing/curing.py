"""Times of a joint or a coat at one steady temperature.

Climate may lengthen the time on a sheet; with one point on the sheet it never shortens it. For measured and
expected air, and for the law of each class, see `calcs.curing.hardening`.

References
----------
.. [1] ASTM C1074, equivalent age in Arrhenius form: written for concrete, borrowed here (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from math import ceil
from typing import Annotated

from calcs.asking.field_types import Percent, Product, Temperature, Yes
from calcs.asking.figures import Figure
from calcs.asking.inputs import check, outward
from calcs.curing.rates import slowing
from calcs.kit.amounts import both_temperatures, sheet_temperature
from calcs.kit.errors import OutOfRange
from calcs.materials.product_sheets import (
    FINISH_FAMILIES,
    GLUE_FAMILIES,
    Finish,
    Glue,
    finish_classes,
    finish_from,
    glue_classes,
    glue_from,
)

__all__ = [
    "FINISH_FAMILIES",
    "GLUE_FAMILIES",
    "CoatOn",
    "CoatTimes",
    "Finish",
    "Glue",
    "GlueTimes",
    "GlueUp",
    "coat_times",
    "finish_classes",
    "finish_from",
    "glue_classes",
    "glue_from",
    "glue_times",
    "slowing",
]

GLUE_STEPS = ("scrape_from_s", "scrape_to_s", "unclamp_s", "machine_s", "surface_s", "full_s")
TEMP = Temperature("temperature", "-20", "60")
COAT_STEPS = ("recoat_from_s", "recoat_to_s", "light_use_s", "full_s")
RATE_LAW = "ASTM C1074, equivalent age, Arrhenius form (written for concrete, borrowed; from memory)"


@dataclass(frozen=True, kw_only=True)
class GlueUp:
    """Joint in clamps.

    Parameters
    ----------
    glue : Glue
        Its product sheet.
    temp_c : Decimal
        Temperature of wood and shop while it cures, -20 to 60 [°C].

    Raises
    ------
    Unreadable, OutOfRange
    """

    glue: Annotated[Glue, Product("glue", Glue)]
    temp_c: Annotated[Decimal, TEMP]

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class GlueTimes:
    """Times of a joint, counted from the clamps.

    Attributes
    ----------
    scrape_from_s, scrape_to_s : int or None
        Window for scraping squeeze-out [s].
    unclamp_s, machine_s, surface_s, full_s : int or None
        Clamps off, machining, final surfacing, full strength [s]. None where there is no time to give, or the
        sheet has none.
    suspect : bool
        True where the joint fell below the glue's least temperature and may be chalked: test it or redo it.
    paused : bool
        True where the cure makes no progress until it is warmer.
    reason : str
        Why the times differ from the sheet, or what they leave out.
    source : tuple of str
        Source of each time.
    """

    scrape_from_s: Annotated[int | None, Figure("Scrape from")]
    scrape_to_s: Annotated[int | None, Figure("Scrape until")]
    unclamp_s: Annotated[int | None, Figure("Clamps off after")]
    machine_s: Annotated[int | None, Figure("Machine after")]
    surface_s: Annotated[int | None, Figure("Final surfacing after")]
    full_s: Annotated[int | None, Figure("Full cure after")]
    suspect: Annotated[bool, Figure("Suspect")]
    paused: Annotated[bool, Figure("Paused")]
    reason: Annotated[str, Figure("Remark", sentence=True)]
    source: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class CoatOn:
    """Coat that was put on.

    Parameters
    ----------
    finish : Finish
        Its product sheet.
    temp_c, rh_pct : Decimal
        Temperature, -20 to 60 [°C], and relative humidity [%].
    allow : bool
        True gives times with warnings for air outside the sheet, where a person has decided to go on.

    Raises
    ------
    Unreadable, OutOfRange
    """

    finish: Annotated[Finish, Product("finish", Finish)]
    temp_c: Annotated[Decimal, TEMP]
    rh_pct: Annotated[Decimal, Percent("relative humidity")]
    allow: Annotated[bool, Yes("go on outside the sheet")] = False

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class CoatTimes:
    """Times of a coat, counted from its end.

    Attributes
    ----------
    recoat_from_s, light_use_s, full_s : int
        Next coat, light use, full cure [s].
    recoat_to_s : int or None
        Latest next coat without abrading [s]; None for no limit.
    warnings, source : tuple of str
        Sentences about air outside the sheet, and sources.
    """

    recoat_from_s: Annotated[int, Figure("Next coat from")]
    recoat_to_s: Annotated[int | None, Figure("Next coat until")]
    light_use_s: Annotated[int, Figure("Light use after")]
    full_s: Annotated[int, Figure("Full cure after")]
    warnings: tuple[str, ...]
    source: tuple[str, ...]


def glue_times(glue_up: GlueUp) -> GlueTimes:
    """Return the times of a joint after clamping, at one steady temperature.

    Parameters
    ----------
    glue_up : GlueUp
        Temperature [°C], and sheet with times [s] and ``rate_k``, activation energy over gas constant [K].

    Returns
    -------
    GlueTimes
        Whole seconds, rounded up. Below the least temperature a glue that sets by losing water is suspect; so
        is one without a known rate law. One with a rate law is paused.

    Notes
    -----
    Time = sheet time x exp(rate_k (1/T - 1/T_ref)) where it is colder than the sheet's figure, T in kelvin.
    Warmer than the figure shortens nothing. The law holds for classes that cure by reaction. For PVA no law
    is in print, so inside its range the sheet's times hold. Times are elapsed time, not working hours.

    References
    ----------
    .. [1] ASTM C1074, equivalent age in Arrhenius form: written for concrete, borrowed here (from memory).
    .. [2] The sheet of the glue; it is carried into ``source``.
    """
    glue, temp_c = glue_up.glue, glue_up.temp_c
    if temp_c < glue.min_temp_c:
        return _too_cold(glue, temp_c)
    colder = temp_c < glue.ref_temp_c
    slower = (
        slowing(rate_k=glue.rate_k, temp_c=temp_c, ref_temp_c=glue.ref_temp_c)
        if glue.rate_k and colder
        else 1.0
    )
    times = {step: _slowed(getattr(glue, step), slower) for step in GLUE_STEPS}
    law = (RATE_LAW,) if slower > 1 else ()
    return GlueTimes(
        **times,
        suspect=False,
        paused=False,
        reason=_glue_reason(glue, temp_c, slower),
        source=(*_sources(glue, GLUE_STEPS), *law),
    )


def coat_times(coat: CoatOn) -> CoatTimes:
    """Return the times of a coat after it is put on, at one steady temperature and humidity.

    Parameters
    ----------
    coat : CoatOn
        Finish, temperature [°C] and relative humidity [%].

    Returns
    -------
    CoatTimes
        The sheet's times [s]. Air inside the sheet's range changes none of them. Air colder than the sheet's
        figure gives a warning. `calcs.curing.hardening` applies the law of the class instead.

    Raises
    ------
    OutOfRange
        If it is too cold, too warm or too humid for the sheet, unless ``coat.allow``.

    References
    ----------
    .. [1] The sheet of the finish; it is carried into ``source``.
    """
    finish = coat.finish
    warnings = []
    for name, least, most in (
        ("temp_c", finish.min_temp_c, finish.max_temp_c),
        ("rh_pct", Decimal(0), finish.rh_max_pct),
    ):
        value, name = getattr(coat, name), outward(name)
        if least <= value <= most:
            continue
        allowed = f"{least} to {most}"
        said = f"{name} {value} is outside the sheet of {finish.name}: {allowed}"
        if not coat.allow:
            raise OutOfRange(said, field=name, value=value, allowed=allowed)
        warnings.append(f"{said}; its times may not hold")
    if coat.temp_c < finish.ref_temp_c and not warnings:
        warnings.append(
            f"colder than the {sheet_temperature(finish.ref_temp_c)} of the sheet, which gives no times"
            " for it: try the film before going on"
        )
    return CoatTimes(
        **{step: getattr(finish, step) for step in COAT_STEPS},
        warnings=tuple(warnings),
        source=_sources(finish, COAT_STEPS),
    )


def _slowed(seconds: int | None, slower: float) -> int | None:
    """Return a time of the sheet multiplied by the slowing [s], rounded up; None stays None."""
    return None if seconds is None else ceil(seconds * slower)


def _too_cold(glue: Glue, temp_c: Decimal) -> GlueTimes:
    """Return the answer below the glue's least temperature: no times, and suspect or paused."""
    paused = glue.rate_k is not None
    short = f"{both_temperatures(temp_c)} is below the {sheet_temperature(glue.min_temp_c)} of {glue.name}"
    what = (
        "the cure stands still until it is warmer"
        if paused
        else "the joint is suspect: test it or redo it, there is no ready time"
    )
    none = dict.fromkeys(GLUE_STEPS)
    source = (f"min_temp_c: {glue.source.get('min_temp_c', '')}",)
    return GlueTimes(**none, suspect=not paused, paused=paused, reason=f"{short}: {what}", source=source)


def _glue_reason(glue: Glue, temp_c: Decimal, slower: float) -> str:
    """Return why the times differ from the sheet, or what they leave out; empty at the sheet's own
    temperature.
    """
    if slower > 1:
        return f"{slower:.2f} times as long as at the {sheet_temperature(glue.ref_temp_c)} of the sheet"
    if temp_c > glue.max_temp_c:
        most = sheet_temperature(glue.max_temp_c)
        return f"above the {most} of the sheet: times not shortened, open time is shorter"
    if temp_c > glue.ref_temp_c:
        return "warmer than the sheet: look at squeeze-out sooner; other times are not shortened"
    if temp_c < glue.ref_temp_c:
        return "colder than the sheet, inside its range: no rate law is in print, so the sheet's times hold"
    return ""


def _sources(sheet: Glue | Finish, steps: tuple[str, ...]) -> tuple[str, ...]:
    """Return the source of each step, from the sheet."""
    return tuple(f"{step}: {sheet.source.get(step, '')}" for step in steps)
