"""Weight of a solid-wood top from the specific gravity of its species."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.errors import Unknown
from calcs.inputs import check
from calcs.kinds import Length, Percent, Whole, Wood
from calcs.rounding import places
from calcs.species import Species, species, species_list
from calcs.units import UNITS_PER_MM, inches

LB_PER_KG = 1 / Fraction("0.45359237")
_CUBIC_METRE = (UNITS_PER_MM * 1000) ** 3
_AT_12_PCT = Fraction("0.265") * (1 - Fraction(12, 30))
MOISTURE = Percent("moisture content", "0", "30")
RULE = (
    "density = 1000 kg/m³ x specific gravity x (1 + moisture): Wood Handbook FPL-GTR-190 (2010) ch. 4;"
    " change of volume by its equation for G, fibre saturation 30 % (from memory)"
)


@dataclass(frozen=True, kw_only=True)
class TopWeight:
    """Finished tops to be weighed.

    Parameters
    ----------
    length_len, width_len, thickness_len : int
        Finished size [1/8 µm].
    quantity : int
    species : str
        Name or shop name.
    mc_pct : Decimal
        Moisture content [%], 0 to 30; 8 unless told.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
        Unknown also where no specific gravity of the species is in the tables.
    """

    length_len: Annotated[int, Length("finished length", inches("1/8"), inches(480))]
    width_len: Annotated[int, Length("finished width", inches("1/8"), inches(240))]
    thickness_len: Annotated[int, Length("finished thickness", inches("1/8"), inches(12))]
    quantity: Annotated[int, Whole("how many", 1, 1000)] = 1
    species: Annotated[str, Wood("species")]
    mc_pct: Annotated[Decimal, MOISTURE] = Decimal(8)

    def __post_init__(self) -> None:
        check(self)
        _gravity(species(self.species))


@dataclass(frozen=True, kw_only=True)
class Weight:
    """Weight of one top and of all, to 0.1; density to 1 kg/m³."""

    each_kg: Decimal
    each_lb: Decimal
    all_kg: Decimal
    all_lb: Decimal
    density_kg_m3: Decimal
    notes: tuple[str, ...]
    source: tuple[str, ...]


def density_kg_m3(name: str, mc_pct: Decimal) -> Fraction:
    """Density of a species at a moisture content [kg/m³], exact for the figures of the table.

    Parameters
    ----------
    name : str
        Name or shop name of the species.
    mc_pct : Decimal
        Moisture content [%], 0 to 30.

    Raises
    ------
    Unknown, OutOfRange

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 4 (specific gravity against
       moisture content: G = Gb / (1 - 0.265 a Gb), a = 1 - M/30; from memory) and tables 5-3b, 5-5b.
    """
    MOISTURE.check(mc_pct, "mc_pct")
    moisture = Fraction(mc_pct)
    basic = _basic(species(name))
    gravity = basic / (1 - Fraction("0.265") * (1 - moisture / 30) * basic)
    return 1000 * gravity * (1 + moisture / 100)


def weight(top: TopWeight) -> Weight:
    """Weight of finished tops at a moisture content, without fittings.

    Returns
    -------
    Weight

    Notes
    -----
    A species mean: a top may be a tenth lighter or heavier. Steel, base and wrapping come on top.
    """
    wood = species(top.species)
    density = density_kg_m3(top.species, top.mc_pct)
    each = density * Fraction(top.length_len * top.width_len * top.thickness_len, _CUBIC_METRE)
    return Weight(
        each_kg=places(each, 1),
        each_lb=places(each * LB_PER_KG, 1),
        all_kg=places(each * top.quantity, 1),
        all_lb=places(each * top.quantity * LB_PER_KG, 1),
        density_kg_m3=places(density, 0),
        notes=(
            "mean of the species: a top may be a tenth lighter or heavier; steel and fittings not counted",
        ),
        source=(wood.gravity_source, RULE, "a tenth either way: common practice, no source"),
    )


def _basic(wood: Species) -> Fraction:
    gravity = _gravity(wood)
    return gravity if wood.gravity_basis == "green volume" else gravity / (1 + _AT_12_PCT * gravity)


def _gravity(wood: Species) -> Fraction:
    if wood.gravity is None:
        names = ", ".join(each.name for each in species_list() if each.gravity is not None)
        raise Unknown(
            f"species {wood.name} has no specific gravity in the tables, so no weight",
            field="species",
            value=wood.name,
            allowed=names,
        )
    return Fraction(wood.gravity)
