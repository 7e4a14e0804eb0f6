"""Finishing of a top: amount, cans, films, calendar of coats, and the conditions for a coat.

The module joins the amount of finish and its cans with the drying times in this air. It adds the dew point,
and the rules on which finish may go over which.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.curing.hardening import StepAt, hardening
from calcs.finish.cans import Cans, choose_cans
from calcs.finish.coat_calendar import CoatAt, calendar_of
from calcs.finish.finish_job_inputs import FinishJob, coat_of, plan_of
from calcs.finish.finishing import Coats, coats, litres
from calcs.finish.layers import Layering, layering
from calcs.kit.amounts import both_temperatures
from calcs.wood.air import Air, Coating, may_coat

CAN_RULE = (
    "cans: least left over, within 1 % of the need the fewest; US pint, quart and gallon by default:"
    " common practice, no source"
)


@dataclass(frozen=True, kw_only=True)
class FinishingOf:
    """Result of a finishing job.

    Attributes
    ----------
    sealing_coats, build_coats : int
        Coats all round, and on the show face besides.
    face_m2, all_round_m2, total_l, thinner_l, covers_m2_per_l : Decimal
        Areas, finish, thinner and coverage, as `calcs.finish.finishing.Coats` [m², L, m²/L].
    cans, bought_l, left_l
        Cans to buy, their content, and what is left over [L].
    wet_um, dry_um, film_um : Decimal or None
        Wet and dry film of one coat, and dry film of all on the face [µm]; None where it does not build.
    turns : int or None
        Turns of the top between coats; None without a drying time in this air.
    calendar : tuple of CoatAt
        Every coat; empty without a drying time in this air.
    light_use_s, full_s : int or None
        Light use and full cure, from the first coat [s]; None without a drying time.
    may_coat : bool
        False where air, surface or what is beneath forbids it; ``warnings`` say why.
    dew_point_c, least_surface_c : Decimal
        Dew point, and coldest surface that may be coated, to 0.1 [°C].
    under : str
        Verdict on what is beneath.
    warnings, cautions, notes, source : tuple of str
        Sentences for the maker, and the sources.
    """

    sealing_coats: Annotated[int, Figure("Sealing coats, all round")]
    build_coats: Annotated[int, Figure("Build coats, face")]
    face_m2: Annotated[Decimal, Figure("Face")]
    all_round_m2: Annotated[Decimal, Figure("All round")]
    total_l: Annotated[Decimal, Figure("In all")]
    thinner_l: Annotated[Decimal, Figure("Thinner in all", quiet=True)]
    covers_m2_per_l: Annotated[Decimal, Figure("Covers, after loss")]
    cans: Annotated[tuple[Cans, ...], Figure("Cans to buy")]
    bought_l: Annotated[Decimal, Figure("Bought")]
    left_l: Annotated[Decimal, Figure("Left")]
    wet_um: Annotated[Decimal | None, Figure("Wet")]
    dry_um: Annotated[Decimal | None, Figure("Dry")]
    film_um: Annotated[Decimal | None, Figure("Dry film on the face")]
    turns: Annotated[int | None, Figure("Turned over between coats", quiet=True)]
    calendar: Annotated[tuple[CoatAt, ...], Figure("Coats, from the first on")]
    light_use_s: Annotated[int | None, Figure("Light use after")]
    full_s: Annotated[int | None, Figure("Full cure after")]
    may_coat: Annotated[bool, Figure("The shop's air allows it")]
    dew_point_c: Annotated[Decimal, Figure("Dew point")]
    least_surface_c: Annotated[Decimal, Figure("Surface no colder than")]
    under: Annotated[str, Figure("Finish that is there")]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def finishing(job: FinishJob) -> FinishingOf:
    """Return amount, cans, films, calendar and conditions of finishing a top.

    Parameters
    ----------
    job : FinishJob
        Sizes [1/8 µm], finish, air [°C, %] and what is beneath.

    Returns
    -------
    FinishingOf
        The calendar takes the likely time to the next coat, and the earliest end of its window.

    Raises
    ------
    OutOfRange
        If the cans are too small for the amount.

    Notes
    -----
    Coat n may go on at n x recoat time. Elapsed time, not working hours. A top that is turned over between
    its faces takes a recoat time more for each: see `calcs.finish.coat_calendar`.

    References
    ----------
    .. [1] NIST SP 811, 2008, appendix B.8, for the film sums; see `calcs.finish.finishing`.
    .. [2] ISO 8502-4 as makers cite it, for the dew point margin; see `calcs.wood.air`.
    """
    plan = plan_of(job)
    amount, bought = coats(plan), choose_cans(litres(plan), job.cans_l)
    drying = hardening(coat_of(job))
    steps = {step.step: step for step in drying.steps}
    air = may_coat(Air(temp_c=job.temp_c, rh_pct=job.rh_pct), surface_c=_surface(job))
    layers = layering(over=job.finish, under=job.under, under_age_s=job.under_age_s, wood=job.species)
    calendar = calendar_of(
        sealing=amount.sealing_coats, build=amount.build_coats, steps=steps, turned=job.turned
    )
    last = calendar.coats[-1].earliest_s if calendar.coats else None
    outside = _outside(job)
    return FinishingOf(
        sealing_coats=amount.sealing_coats,
        build_coats=amount.build_coats,
        face_m2=amount.face_m2,
        all_round_m2=amount.all_round_m2,
        total_l=amount.total_l,
        thinner_l=amount.thinner_l,
        covers_m2_per_l=amount.covers_m2_per_l,
        cans=bought.cans,
        bought_l=bought.bought_l,
        left_l=bought.left_l,
        wet_um=amount.wet_um,
        dry_um=amount.dry_um,
        film_um=amount.film_um,
        turns=calendar.turns,
        calendar=calendar.coats,
        light_use_s=_after(last, steps["light_use"]),
        full_s=_after(last, steps["full"]),
        may_coat=air.ok and layers.ok and not outside,
        dew_point_c=air.dew_point_c,
        least_surface_c=air.least_surface_c,
        under=layers.verdict,
        warnings=_told_once(amount.warnings, air.reasons, layers.warnings, outside, drying.warnings),
        cautions=drying.cautions,
        notes=_told_once(amount.notes, calendar.notes, layers.notes, drying.notes),
        source=_all_sources(amount, air, layers, drying.source),
    )


def _after(last_s: int | None, step: StepAt) -> int | None:
    """Return the time of a step counted from the first coat [s]; None without a drying time."""
    return None if last_s is None or step.likely_s is None else last_s + step.likely_s


def _surface(job: FinishJob) -> Decimal:
    """Return the temperature of the surface: as given, else that of the air [°C]."""
    return job.temp_c if job.surface_c is None else job.surface_c


def _outside(job: FinishJob) -> tuple[str, ...]:
    """Return the reasons why air or surface is outside the finish's sheet."""
    sheet, found = job.finish, []
    for what, value in (("air", job.temp_c), ("surface", _surface(job))):
        if not sheet.min_temp_c <= value <= sheet.max_temp_c:
            allowed = f"{both_temperatures(sheet.min_temp_c)} to {both_temperatures(sheet.max_temp_c)}"
            found.append(f"{what} at {both_temperatures(value)} is outside the sheet's {allowed}")
    if job.rh_pct > sheet.rh_max_pct:
        found.append(f"air at {job.rh_pct:f} % RH is above the {sheet.rh_max_pct} % of the sheet")
    return tuple(found)


def _told_once(*groups: Sequence[str]) -> tuple[str, ...]:
    """Return sentences in order, each once."""
    return tuple(dict.fromkeys(text for group in groups for text in group))


def _all_sources(amount: Coats, air: Coating, layers: Layering, drying: Sequence[str]) -> tuple[str, ...]:
    """Return the sources of amount, cans, drying, air and layers, each once."""
    beneath = [f"layers and species: {text}" for text in layers.source]
    return _told_once(amount.source, (CAN_RULE,), drying, air.source, beneath)
