"""Stiffness of wood across the grain, and of a steel channel laid across it.

References
----------
.. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, tables 5-1 and 5-3b.
.. [2] AISC Manual: steel 29,000 ksi (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from calcs.kit.errors import Unknown
from calcs.kit.rounding import places
from calcs.materials.species import species
from calcs.tables import cite, rows
from calcs.wood.stiffness import stiffness

STEEL_MPA = 200_000
STEEL_SOURCE = "steel 200 GPa: AISC Manual, 29,000 ksi (from memory)"
_SHEAR_OUT = Fraction(11, 10)


@dataclass(frozen=True, kw_only=True)
class Across:
    """Modulus of elasticity across the grain, in the direction of the width of a board.

    Attributes
    ----------
    elasticity_mpa : Decimal
        Modulus, to 1 [MPa].
    source : tuple of str
        Sources of the ratio and of the modulus along the grain.
    """

    elasticity_mpa: Decimal
    source: tuple[str, ...]


def across_grain(name: str, cut: str) -> Across:
    """Return the modulus across the grain: along the rings if flatsawn, across them if quartersawn.

    Parameters
    ----------
    name : str
        Species by its name or shop name.
    cut : {"flatsawn", "quartersawn", "rift", "mixed"}
        Tangential or radial direction.

    Returns
    -------
    Across
        Modulus [MPa].

    Raises
    ------
    Unknown
        No such species, or no ratio or modulus of it in the tables.

    Notes
    -----
    E across = 1.1 x bending modulus x ratio. A mean of few trees at about 12 %; single boards differ widely.
    Wood cut between the two is less stiff than either.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, table 5-1 (E_T/E_L, E_R/E_L; E_L
       is the bending modulus of table 5-3b raised by 10 %).
    """
    wood = species(name).name
    known = {row["species"]: row for row in rows("elastic_ratios")}
    if wood not in known:
        raise Unknown(
            f"species {wood} has no ratio of stiffness across the grain in the tables; give your own",
            field="species",
            value=wood,
            allowed=", ".join(known),
        )
    row, along = known[wood], stiffness(wood)
    ratio = Fraction(row["er_el" if cut == "quartersawn" else "et_el"])
    return Across(
        elasticity_mpa=places(Fraction(along.elasticity_mpa) * _SHEAR_OUT * ratio, 0),
        source=(
            f"E across / E along {places(ratio, 3)}: {cite(row['source'], row['provenance'])}",
            f"E along, 10 % over bending: {along.source[0]}",
        ),
    )


def channel_inertia(*, wide: Fraction, deep: Fraction, web: Fraction, leg: Fraction) -> Fraction:
    """Return the second moment of area of a channel about the axis along its web.

    Parameters
    ----------
    wide, deep : Fraction
        Back of the web, edge to edge; back of the web to the tips of the legs.
    web, leg : Fraction
        Thickness of the web; of each leg.

    Returns
    -------
    Fraction
        In the fourth power of the unit given.

    Notes
    -----
    Parallel axis theorem over web and legs: I = Σ (b h³ / 12 + b h (y - ȳ)²), with ȳ the centroid. Corners
    are sharp.

    Examples
    --------
    A channel without legs is a flat bar: 12 x 1³ / 12.

    >>> channel_inertia(wide=Fraction(12), deep=Fraction(1), web=Fraction(1), leg=Fraction(1))
    Fraction(1, 1)
    """
    parts = ((wide, web, web / 2), (2 * leg, deep - web, (deep + web) / 2))
    area = sum((b * h for b, h, _ in parts), Fraction(0))
    middle = sum((b * h * at for b, h, at in parts), Fraction(0)) / area
    return sum((b * h**3 / 12 + b * h * (at - middle) ** 2 for b, h, at in parts), Fraction(0))
