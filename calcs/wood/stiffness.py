"""Stiffness and strength of a species along the grain, from the tables.

References
----------
.. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, tables 5-3b and 5-5b.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache

from calcs.kit.errors import Unknown
from calcs.kit.rounding import places
from calcs.materials.species import species
from calcs.tables import cite, rows

MPA_PER_PSI = Fraction("0.006894757293168")


@dataclass(frozen=True, kw_only=True)
class Stiffness:
    """Modulus of elasticity and modulus of rupture in bending at 12 % moisture, means of a species.

    Attributes
    ----------
    name : str
        Name of the species in the tables.
    elasticity_mpa : Decimal
        Modulus of elasticity along the grain [MPa].
    rupture_mpa : Decimal or None
        Modulus of rupture [MPa]; None for a wood whose figures are given.
    source : tuple of str
        Table and provenance of both figures.

    Notes
    -----
    Clear straight-grained small pieces. The modulus of elasticity comes from a span of 14 depths loaded at
    the centre. It therefore still holds the shear of that test.
    """

    name: str
    elasticity_mpa: Decimal
    rupture_mpa: Decimal | None
    source: tuple[str, ...]


def stiffness(name: str) -> Stiffness:
    """Return the stiffness of a species by its name or shop name.

    Parameters
    ----------
    name : str
        Upper or lower case.

    Returns
    -------
    Stiffness
        Moduli [MPa], converted from 10⁶ psi and psi of the tables.

    Raises
    ------
    Unknown
        Also where no modulus of the species is in the tables.

    Notes
    -----
    1 psi = 0.006894757293168 MPa.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, tables 5-3b and 5-5b.

    Examples
    --------
    >>> stiffness("walnut").elasticity_mpa  # table 5-3b: 1.68 million psi
    Decimal('11583')
    """
    given = species(name)
    if given.elasticity_mpa is not None:
        return Stiffness(
            name=given.name,
            elasticity_mpa=given.elasticity_mpa,
            rupture_mpa=None,
            source=(f"elasticity: {given.elasticity_source}",),
        )
    known, wood = _table(), given.name
    if wood not in known:
        raise Unknown(
            f"species {wood} has no modulus of elasticity in the tables; give the stiffness itself",
            field="species",
            value=wood,
            allowed=", ".join(known),
        )
    return known[wood]


@cache
def _table() -> dict[str, Stiffness]:
    """Return the stiffness of every species of ``calcs/tables/stiffness.csv`` by name."""
    return {row["species"]: _read(row) for row in rows("stiffness")}


def _read(row: dict[str, str]) -> Stiffness:
    """Return one row of the table in SI units."""
    return Stiffness(
        name=row["species"],
        elasticity_mpa=places(Fraction(row["moe_mpsi"]) * 1_000_000 * MPA_PER_PSI, 0),
        rupture_mpa=places(Fraction(row["mor_psi"]) * MPA_PER_PSI, 1),
        source=(
            f"elasticity: {cite(row['source'], row['moe_provenance'])}",
            f"rupture: {cite(row['source'], row['mor_provenance'])}",
        ),
    )
