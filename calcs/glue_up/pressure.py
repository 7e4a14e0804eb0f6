"""Pressure that a joint wants, by glue and density of the wood, and force of a clamp.

References
----------
.. [1] An adhesive maker's gluing guide, undated: three groups of species (``tables/pressures.csv``).
.. [2] NIST SP 811, 2008, appendix B: psi and lbf.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from calcs.materials.product_sheets import Glue
from calcs.tables import cite, rows
from calcs.wood.density import density_kg_m3

KPA_PER_PSI = Decimal("6.894757293168")
"""NIST SP 811 (2008), app. B."""
N_PER_LBF = Decimal("4.4482216152605")
CLAMP_KINDS = tuple(row["kind"] for row in rows("clamps"))
"""From the strongest to the weakest."""
USUAL_KIND = "bar or pipe"
"""Kind of a clamp that nobody named."""
BOUNDS = "bounds between its species: common practice, no source"
_AT_12_PCT = 1120


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """Pressure on a joint.

    Attributes
    ----------
    least_kpa, most_kpa : Decimal
        Least and most [kPa].
    contact : bool
        True for a glue that more pressure starves.
    says, source : str
        The range in words, and its source.
    """

    least_kpa: Decimal
    most_kpa: Decimal
    contact: bool
    says: str
    source: str


@dataclass(frozen=True, kw_only=True)
class ClampForce:
    """Force of one clamp tightened by hand.

    Attributes
    ----------
    least_n, most_n : Decimal
        Least and most [N].
    source : str
        Source with its provenance.
    """

    least_n: Decimal
    most_n: Decimal
    source: str


def wanted(glue: Glue, species: str) -> Wanted:
    """Return the pressure printed for a glue on a wood of this density.

    Parameters
    ----------
    glue : Glue
        Product sheet.
    species : str
        Name or shop name; not looked at for an epoxy, which wants contact only.

    Returns
    -------
    Wanted
        Pressure [kPa], converted from psi.

    Raises
    ------
    Unknown
        No such species, or none with a specific gravity.

    References
    ----------
    .. [1] An adhesive maker's gluing guide, undated: three groups of species (``tables/pressures.csv``).
    """
    contact = glue.family == "epoxy"
    row = _row("contact") if contact else _by_density(species)
    return Wanted(
        least_kpa=Decimal(row["psi_least"]) * KPA_PER_PSI,
        most_kpa=Decimal(row["psi_most"]) * KPA_PER_PSI,
        contact=contact,
        says=f"{row['psi_least']} to {row['psi_most']} psi, {row['condition']}",
        source=cite(row["source"], row["provenance"]) + ("" if contact else f"; {BOUNDS}"),
    )


def clamp_force(kind: str) -> ClampForce:
    """Return the range of force of one kind of clamp.

    Parameters
    ----------
    kind : str
        One of `CLAMP_KINDS`.

    Notes
    -----
    A magazine tightened five kinds by hand: the ranges are 60 % and 140 % of its means, as its weakest and
    strongest people did. Kinds that it did not test are common practice, no source: gauge one of each.

    References
    ----------
    .. [1] A woodworking magazine's test of clamps, May 2010 (read).
    """
    row = next(row for row in rows("clamps") if row["kind"] == kind)
    return ClampForce(
        least_n=Decimal(row["lbf_least"]) * N_PER_LBF,
        most_n=Decimal(row["lbf_most"]) * N_PER_LBF,
        source=f"{row['lbf_least']} to {row['lbf_most']} lbf a {kind} clamp: "
        + cite(row["source"], row["provenance"]),
    )


def _by_density(species: str) -> dict[str, str]:
    """Return the row of pressures for a species, by its specific gravity at 12 % moisture.

    Notes
    -----
    Specific gravity on volume at 12 % = density / (1000 x 1.12).
    """
    gravity = density_kg_m3(species, Decimal(12)) / _AT_12_PCT
    groups = [row for row in rows("pressures") if row["gravity_from"]]
    return max(
        (row for row in groups if Fraction(row["gravity_from"]) <= gravity),
        key=lambda row: Fraction(row["gravity_from"]),
    )


def _row(wood: str) -> dict[str, str]:
    """Return the row of pressures of a group of woods."""
    return next(row for row in rows("pressures") if row["wood"] == wood)
