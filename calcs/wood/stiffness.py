"""How stiff and how strong a species is along the grain."""

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
    """Modulus of elasticity and modulus of rupture in bending at 12 % moisture [MPa], mean of the species.

    Clear straight-grained small pieces. The modulus of elasticity comes from a span of 14 depths loaded at
    the centre and still holds the shear of that test.
    """

    name: str
    elasticity_mpa: Decimal
    rupture_mpa: Decimal
    source: tuple[str, ...]


def stiffness(name: str) -> Stiffness:
    """The stiffness of a species by its name or shop name.

    Raises
    ------
    Unknown
        Also where no modulus of the species is in the tables.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, tables 5-3b and 5-5b.

    Examples
    --------
    >>> stiffness("walnut").elasticity_mpa
    Decimal('11583')
    """
    known, wood = _table(), species(name).name
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
    return {row["species"]: _read(row) for row in rows("stiffness")}


def _read(row: dict[str, str]) -> Stiffness:
    return Stiffness(
        name=row["species"],
        elasticity_mpa=places(Fraction(row["moe_mpsi"]) * 1_000_000 * MPA_PER_PSI, 0),
        rupture_mpa=places(Fraction(row["mor_psi"]) * MPA_PER_PSI, 1),
        source=(
            f"elasticity: {cite(row['source'], row['moe_provenance'])}",
            f"rupture: {cite(row['source'], row['mor_provenance'])}",
        ),
    )
