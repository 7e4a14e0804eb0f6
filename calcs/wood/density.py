"""Density of wood at a moisture content, from the specific gravity of its species.

Specific gravity is ovendry mass over volume, relative to water, and the volume swells with moisture up to
fibre saturation. Figures are means of a species.

References
----------
.. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 4; tables 5-3b and 5-5b.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from calcs.asking.field_types import Percent
from calcs.kit.errors import Unknown
from calcs.materials.own_woods import Species
from calcs.materials.species import species, species_list

_AT_12_PCT = Fraction("0.265") * (1 - Fraction(12, 30))
MOISTURE = Percent("moisture content", "0", "30")
RULE = (
    "density = 1000 kg/m³ x specific gravity x (1 + moisture): Wood Handbook FPL-GTR-190 (2010) ch. 4;"
    " change of volume by its equation for G, fibre saturation 30 % (from memory)"
)


def density_kg_m3(wood: str | Species, mc_pct: Decimal) -> Fraction:
    """Return the density of a species at a moisture content [kg/m³], exact for the figures of the table.

    Parameters
    ----------
    wood : str or Species
        Species, or its name, shop name or line of figures.
    mc_pct : Decimal
        Moisture content, 0 to 30 [%].

    Returns
    -------
    Fraction
        Density of wood and water together [kg/m³].

    Raises
    ------
    Unknown, OutOfRange

    Notes
    -----
    Density = 1000 G (1 + M/100), with G = Gb / (1 - 0.265 a Gb) and a = 1 - M/30. Gb is the specific gravity
    on green volume. Above 30 % the volume no longer changes, so the equation ends there.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 4 (specific gravity against
       moisture content: G = Gb / (1 - 0.265 a Gb), a = 1 - M/30; from memory) and tables 5-3b, 5-5b.

    Examples
    --------
    >>> int(density_kg_m3("cherry", Decimal(12)))  # table 5-3b: 0.50 on 12 % volume; 0.50 x 1.12 = 0.56
    560
    """
    MOISTURE.check(mc_pct, "mc_pct")
    moisture = Fraction(mc_pct)
    basic = _basic(species(wood) if isinstance(wood, str) else wood)
    gravity = basic / (1 - Fraction("0.265") * (1 - moisture / 30) * basic)
    return 1000 * gravity * (1 + moisture / 100)


def _basic(wood: Species) -> Fraction:
    """Return the specific gravity on green volume.

    Notes
    -----
    A tabled value G12 on 12 % volume is turned back by Gb = G12 / (1 + 0.265 (1 - 12/30) G12).
    """
    gravity = gravity_of(wood)
    return gravity if wood.gravity_basis == "green volume" else gravity / (1 + _AT_12_PCT * gravity)


def gravity_of(wood: Species) -> Fraction:
    """Return the specific gravity of the tables; refuse a species without one."""
    if wood.gravity is None:
        names = ", ".join(each.name for each in species_list() if each.gravity is not None)
        where = "among its figures" if wood.group == "own" else "in the tables"
        raise Unknown(
            f"species {wood.name} has no specific gravity {where}, so no weight",
            field="species",
            value=wood.name,
            allowed=names,
        )
    return Fraction(wood.gravity)
