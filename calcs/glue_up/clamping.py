"""Clamps across an edge-glued panel: their places, number, reach and pressure.

Spacing governs: each clamp loads a fan of 45° to either side, and the fans must meet at the nearest joint.
The pressure printed for a glue is shown beside, as hand-tightened clamps rarely reach it.

References
----------
.. [1] An adhesive maker's gluing guide, undated (spacing, pressure).
.. [2] A woodworking journal, 2006 (below and above in turn).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.glue_up.clamp_choice import Used, achieved_kpa, choose_clamps, pressure_for
from calcs.glue_up.clamping_inputs import Panel
from calcs.glue_up.pressure import USUAL_KIND, Wanted, clamp_force
from calcs.kit.rounding import half_up, places, up
from calcs.kit.units import UNITS_PER_MM, both_units, inches
from calcs.tables import PRACTICE

CAUL_SPACING = inches(30)
SIDES = ("below", "above")
GUIDE = "8 to 12 in apart, first 1 1/2 to 2 in from the ends: adhesive maker's gluing guide, undated (read)"
ALTERNATE = "below and above in turn: a woodworking journal, 2006 (read)"
_PER_M2 = (1000 * UNITS_PER_MM) ** 2


@dataclass(frozen=True, kw_only=True)
class ClampAt:
    """One clamp.

    Attributes
    ----------
    at_len : int
        Distance from the end [1/8 µm].
    side : str
        "below" or "above" the panel.
    """

    at_len: Annotated[int, Figure("From the end", near=True)]
    side: Annotated[str, Figure("Side")]


@dataclass(frozen=True, kw_only=True)
class ClampPlan:
    """Places of clamps and cauls, with force and pressure of one joint.

    Attributes
    ----------
    count : int
        Number of clamps.
    spacing_len, spread_len, reach_len : int
        Spacing; what one clamp loads at the nearest joint; least reach of a clamp [1/8 µm].
    places : tuple of ClampAt
        Every clamp.
    cauls_at_len : tuple of int
        Places of the cauls from the end [1/8 µm].
    wanted_least_kpa, wanted_most_kpa : Decimal
        Pressure printed for the glue and wood, to 1 [kPa].
    force_least_n, force_most_n, each_least_n : Decimal
        Force of one joint for that pressure, and the least share of one clamp, to 1 [N].
    achieved_least_kpa, achieved_most_kpa : Decimal
        Pressure that clamps tightened by hand give, to 1 [kPa].
    use : tuple of Used or None
        Clamps to take; None, as ``missing`` and ``enough``, where no clamps of the shop were given.
    missing : int or None
        Clamps that the shop lacks.
    enough : bool or None
        True where none is missing.
    warnings, notes, source : tuple of str
        Sentences for the maker, and the sources.
    """

    count: Annotated[int, Figure("Clamps")]
    spacing_len: Annotated[int, Figure("Spacing", near=True)]
    spread_len: Annotated[int, Figure("Loaded by one clamp at the nearest joint")]
    reach_len: Annotated[int, Figure("Reach")]
    places: Annotated[tuple[ClampAt, ...], Figure("Clamps from the end as glued up, to 1/4 in or 5 mm")]
    cauls_at_len: Annotated[tuple[int, ...], Figure("Cauls, from the end as glued up", near=True)]
    wanted_least_kpa: Annotated[Decimal, Figure("Pressure printed, from")]
    wanted_most_kpa: Annotated[Decimal, Figure("Pressure printed, to")]
    force_least_n: Annotated[Decimal, Figure("Force for one joint, from")]
    force_most_n: Annotated[Decimal, Figure("Force for one joint, to")]
    each_least_n: Annotated[Decimal, Figure("Force of each clamp, from")]
    achieved_least_kpa: Annotated[Decimal, Figure("Pressure reached, from")]
    achieved_most_kpa: Annotated[Decimal, Figure("Pressure reached, to")]
    use: Annotated[tuple[Used, ...] | None, Figure("Clamps to take")]
    missing: Annotated[int | None, Figure("Clamps missing", quiet=True)]
    enough: Annotated[bool | None, Figure("Enough")]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def clamping(panel: Panel) -> ClampPlan:
    """Return a plan of clamps by spacing and 45° spread, with the force of one joint beside it.

    Parameters
    ----------
    panel : Panel
        Sizes [1/8 µm], glue, wood and the clamps of the shop.

    Returns
    -------
    ClampPlan

    Raises
    ------
    Unknown
        If the species has no specific gravity, so that no pressure is known.

    Notes
    -----
    Spacing <= min(wanted, 2 (outer strip + batten)), so that fans of 45° meet at the nearest joint.
    Force of one joint = pressure x thickness x length. Clamps across the width load all joints in series: the
    same force goes through each. So the force wanted is that of one joint, never of their sum.
    Spacing governs, not pressure. The pressure printed for a glue wants more force than hand-tightened clamps
    usually give. Joints that close by hand hold all the same.

    References
    ----------
    .. [1] An adhesive maker's gluing guide, undated (spacing, pressure); a woodworking journal, 2006.
    .. [2] 45° spread, cauls every 24 to 30 in: common practice, no source.

    Examples
    --------
    >>> from calcs.kit.units import inches
    >>> from calcs.materials.product_sheets import glue_classes
    >>> top = Panel(width_len=inches(32), length_len=inches(60), thickness_len=inches("7/4"),
    ...             outer_len=inches("205/32"), glue=glue_classes()["pva"], species="walnut")
    >>> plan = clamping(top)
    >>> plan.count, both_units(plan.spacing_len), [clamp.side for clamp in plan.places[:3]]  # 56 in / 5
    (6, '≈ 11 13/64" (≈ 284.5 mm)', ['below', 'above', 'below'])
    """
    spread = 2 * (panel.outer_len + panel.batten_len)
    at = positions(panel.length_len, end_len=panel.end_len, most_len=min(panel.spacing_len, spread))
    pressure = pressure_for(panel)
    area = Fraction(panel.thickness_len * panel.length_len, _PER_M2)
    force = [1000 * Fraction(each) * area for each in (pressure.least_kpa, pressure.most_kpa)]
    reach = panel.width_len + 2 * panel.batten_len
    use = choose_clamps(panel.clamps, reach, len(at)) if panel.clamps else None
    achieved = achieved_kpa(use, len(at), area)
    missing = None if use is None else len(at) - sum(each.count for each in use)
    return ClampPlan(
        count=len(at),
        spacing_len=at[1] - at[0] if len(at) > 1 else 0,
        spread_len=spread,
        reach_len=reach,
        places=tuple(ClampAt(at_len=each, side=SIDES[n % 2]) for n, each in enumerate(at)),
        cauls_at_len=_cauls(at),
        wanted_least_kpa=places(pressure.least_kpa, 0),
        wanted_most_kpa=places(pressure.most_kpa, 0),
        force_least_n=places(force[0], 0),
        force_most_n=places(force[1], 0),
        each_least_n=places(force[0] / len(at), 0),
        achieved_least_kpa=places(achieved[0], 0),
        achieved_most_kpa=places(achieved[1], 0),
        use=use,
        missing=missing,
        enough=None if missing is None else missing == 0,
        warnings=_warnings(panel, missing, reach, pressure, achieved),
        notes=_notes(panel, spread, pressure),
        source=_source(panel, pressure),
    )


def positions(length_len: int, *, end_len: int, most_len: int) -> tuple[int, ...]:
    """Return even places along a joint [1/8 µm].

    Parameters
    ----------
    length_len : int
        Length of the joint [1/8 µm].
    end_len, most_len : int
        Distance of the outer places from the ends, and largest spacing [1/8 µm].

    Notes
    -----
    Gaps = ceil((length - 2 end) / most). A joint no longer than two such ends has one place, in its middle.

    Examples
    --------
    >>> positions(100, end_len=10, most_len=30)  # 80 / 30 takes three gaps
    (10, 37, 63, 90)
    """
    between = length_len - 2 * end_len
    if between <= 0:
        return (half_up(Fraction(length_len, 2)),)
    gaps = up(Fraction(between, most_len))
    return tuple(end_len + half_up(Fraction(between * n, gaps)) for n in range(gaps + 1))


def _cauls(at: Sequence[int]) -> tuple[int, ...]:
    """Return the places of cauls: middles of gaps between clamps, first and last among them [1/8 µm].

    No two are further apart than `CAUL_SPACING`, as far as the gaps allow.
    """
    middles = [half_up(Fraction(left + right, 2)) for left, right in zip(at, at[1:], strict=False)]
    if len(middles) < 2:
        return tuple(middles)
    stride = CAUL_SPACING // max(right - left for left, right in zip(at, at[1:], strict=False))
    steps = up(Fraction(len(middles) - 1, stride))
    return tuple(middles[(len(middles) - 1) * n // steps] for n in range(steps + 1))


def _warnings(
    panel: Panel,
    missing: int | None,
    reach: int,
    pressure: Wanted,
    achieved: tuple[Fraction, Fraction],
) -> tuple[str, ...]:
    """Return warnings: clamps missing, contact only, pressure below the printed one."""
    said = []
    if missing:
        said.append(f"{missing} more clamps that reach {both_units(reach)} are missing")
    if pressure.contact:
        said.append("contact only: close the joint and stop, high pressure starves it")
    elif achieved[1] < pressure.least_kpa:
        said.append(
            "even tightened hard the clamps stay below the printed pressure: the joints must close by hand"
        )
    return tuple(said)


def _notes(panel: Panel, spread: int, pressure: Wanted) -> tuple[str, ...]:
    """Return notes on pressure, order of tightening, and a narrow outer strip."""
    notes = [
        f"pressure printed: {pressure.says}; information, not a pass mark: spacing and fit govern",
        "the same force goes through every joint: it is that of one joint, not of their sum",
        "snug first, then tighten in turn while a straightedge says that the panel stays flat",
        "screw in line with half the thickness; waxed cauls; a barrier between steel and tannic wood",
    ]
    if spread < panel.spacing_len:
        batten = up(Fraction(panel.spacing_len, 2)) - panel.outer_len
        notes.append(
            f"the outer strip is narrow: closer than {both_units(panel.spacing_len)}, or a batten of"
            f" {both_units(batten)} between clamps and edge"
        )
    if not panel.clamps:
        notes.append("no clamps of the shop entered: pressure as bar or pipe clamps would give")
    return tuple(notes)


def _source(panel: Panel, pressure: Wanted) -> tuple[str, ...]:
    """Return the sources of spacing, pressure and forces."""
    kinds = sorted({each.kind for each in panel.clamps} or {USUAL_KIND})
    return (
        GUIDE,
        ALTERNATE,
        f"pressure: {pressure.source}",
        *(clamp_force(kind).source for kind in kinds),
        f"45° spread, cauls every 24 to 30 in: {PRACTICE}",
    )
