"""Clamps to take from those of the shop, and the pressure they give.

Clamps tightened by hand give a wide range of force, by their kind and by who turns them: gauge one of each.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.glue_up.clamping_inputs import Clamps, Panel
from calcs.glue_up.pressure import CLAMP_KINDS, USUAL_KIND, Wanted, clamp_force, wanted


@dataclass(frozen=True, kw_only=True)
class Used:
    """Clamps of one kind and reach to take.

    Attributes
    ----------
    kind : str
        Kind of clamp.
    reach_len : int
        Reach [1/8 µm].
    count : int
        Number to take.
    """

    kind: Annotated[str, Figure("Kind")]
    reach_len: Annotated[int, Figure("Reach")]
    count: Annotated[int, Figure("How many")]


def pressure_for(panel: Panel) -> Wanted:
    """Return the pressure wanted: the sheet's own as given, else that of the table [kPa].

    Parameters
    ----------
    panel : Panel
        Glue, species, and the sheet's pressure where it is known [kPa].

    Raises
    ------
    Unknown
        If the species has no specific gravity.
    """
    if panel.pressure_kpa is None:
        return wanted(panel.glue, panel.species or "")
    return Wanted(
        least_kpa=panel.pressure_kpa,
        most_kpa=panel.pressure_kpa,
        contact=panel.glue.family == "epoxy",
        says="as given",
        source="your own value",
    )


def choose_clamps(clamps: Sequence[Clamps], reach: int, count: int) -> tuple[Used, ...]:
    """Return the shortest free clamps that reach; of equal reach the stronger kind first.

    Parameters
    ----------
    clamps : sequence of Clamps
        Clamps of the shop; held ones are not free.
    reach, count : int
        Least reach [1/8 µm], and number wanted.

    Returns
    -------
    tuple of Used
        Fewer than wanted where the shop has no more.
    """
    able = [each for each in clamps if each.reach_len >= reach and each.owned > each.held]
    used: list[Used] = []
    for each in sorted(able, key=lambda each: (each.reach_len, CLAMP_KINDS.index(each.kind))):
        taken = min(each.owned - each.held, count - sum(one.count for one in used))
        if taken:
            used.append(Used(kind=each.kind, reach_len=each.reach_len, count=taken))
    return tuple(used)


def achieved_kpa(use: Sequence[Used] | None, count: int, area: Fraction) -> tuple[Fraction, Fraction]:
    """Return the least and most pressure that the clamps give, tightened by hand [kPa].

    Parameters
    ----------
    use : sequence of Used or None
        Clamps to take; None counts as bar or pipe clamps.
    count : int
        Number of clamps.
    area : Fraction
        Area of one joint [m²].

    Notes
    -----
    Pressure = sum of the clamps' forces / area of one joint. Forces come from ``calcs/tables/clamps.csv``.
    """
    taken = [(USUAL_KIND, count)] if use is None else [(each.kind, each.count) for each in use]
    forces = [(clamp_force(kind), n) for kind, n in taken]
    least = sum((Fraction(force.least_n) * n for force, n in forces), Fraction(0))
    most = sum((Fraction(force.most_n) * n for force, n in forces), Fraction(0))
    return least / area / 1000, most / area / 1000
