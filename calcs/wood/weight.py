"""Weight of a solid-wood top, from the specific gravity of its species.

Specific gravity is ovendry mass over volume, relative to water, and the volume swells with moisture up to
fibre saturation. Figures are means of a species: one top may be a tenth lighter or heavier.

References
----------
.. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 4; tables 5-3b and 5-5b.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.field_types import Length, Number, Whole, Wood
from calcs.asking.figures import Figure
from calcs.asking.inputs import Rows, check
from calcs.kit.errors import OutOfRange, Unreadable
from calcs.kit.rounding import places
from calcs.kit.units import UNITS_PER_MM, both_units, inches
from calcs.materials.own_woods import Species
from calcs.materials.species import species
from calcs.wood.density import MOISTURE, RULE, density_kg_m3, gravity_of

LB_PER_KG = 1 / Fraction("0.45359237")
_CUBIC_METRE = (UNITS_PER_MM * 1000) ** 3
STEEL_KG_M3 = 7850
STEEL = "steel 7850 kg/m³: EN 1991-1-1 (2002) table A.4, upper end (from memory); section with sharp corners"


@dataclass(frozen=True, kw_only=True)
class Channel:
    """Steel let into a top: channels alike.

    Parameters
    ----------
    count : int
        Number of channels.
    length_len, width_len, leg_len, wall_len : int
        Length, width over all, height of the legs, wall [1/8 µm]. Legs as high as the wall is thick make a
        flat bar.

    Raises
    ------
    Unreadable, OutOfRange
        Also where the wall is thicker than the leg or half the width.
    """

    count: Annotated[int, Whole("how many", 1, 100)]
    length_len: Annotated[int, Length("length", inches("1/4"), inches(240))]
    width_len: Annotated[int, Length("width over all", inches("1/8"), inches(12)), Figure("Width")]
    leg_len: Annotated[int, Length("height of the legs", inches("1/64"), inches(6)), Figure("Legs")]
    wall_len: Annotated[int, Length("wall", inches("1/64"), inches(1)), Figure("Wall")]

    def __post_init__(self) -> None:
        check(self)
        if self.wall_len > min(self.leg_len, self.width_len // 2):
            raise OutOfRange(
                f"wall {both_units(self.wall_len)} is thicker than the leg or half the width",
                field="wall",
                value=both_units(self.wall_len),
                allowed=f"at most {both_units(min(self.leg_len, self.width_len // 2))}",
            )


@dataclass(frozen=True, kw_only=True)
class TopWeight:
    """Finished tops to be weighed.

    Parameters
    ----------
    length_len, width_len, thickness_len : int
        Finished size [1/8 µm].
    quantity : int
        Tops alike.
    species : str, optional
        Name or shop name, or the line of a wood's figures.
    gravity : Decimal, optional
        Specific gravity itself, ovendry weight over volume at 12 % of moisture; in place of a species.
    mc_pct : Decimal
        Moisture content, 0 to 30 [%]; 8 by default.
    channels : tuple of Channel
        Steel of one top.
    fittings_kg : Decimal
        Inserts, bolts and whatever else leaves with one top [kg].

    Raises
    ------
    Unreadable, OutOfRange, Unknown
        Unknown also where no specific gravity of the species is known; Unreadable unless a species or a
        specific gravity is given, and not both.
    """

    length_len: Annotated[int, Length("finished length", inches("1/8"), inches(480)), Figure("Length")]
    width_len: Annotated[int, Length("finished width", inches("1/8"), inches(240)), Figure("Width")]
    thickness_len: Annotated[
        int, Length("finished thickness", inches("1/8"), inches(12)), Figure("Thickness")
    ]
    quantity: Annotated[int, Whole("how many", 1, 1000)] = 1
    species: Annotated[str | None, Wood("species")] = None
    gravity: Annotated[
        Decimal | None, Number("specific gravity itself, ovendry weight over volume at 12 %", "0.05", "1.5")
    ] = None
    mc_pct: Annotated[Decimal, MOISTURE] = Decimal(8)
    channels: Annotated[
        tuple[Channel, ...], Rows("steel channels of one top", Channel, 0, 20), Figure("Channels")
    ] = ()
    fittings_kg: Annotated[
        Decimal, Number("fittings of one top", "0", "1000", "kg"), Figure("Fittings", quiet=True)
    ] = Decimal(0)

    def __post_init__(self) -> None:
        check(self)
        if (self.species is None) is (self.gravity is None):
            raise Unreadable(
                "a species or a specific gravity is needed, not both",
                field="species",
                value=self.species,
                allowed="species, or gravity",
            )
        gravity_of(self.wood)

    @property
    def wood(self) -> Species:
        """Return the species, or a wood of the specific gravity alone."""
        return species(self.species if self.species is not None else f"this wood: gravity {self.gravity}")


@dataclass(frozen=True, kw_only=True)
class Weight:
    """Weight of one top and of all.

    Attributes
    ----------
    each_kg, each_lb : Decimal
        One top with its steel and fittings, to 0.1 [kg, lb].
    all_kg, all_lb : Decimal
        All tops, to 0.1 [kg, lb].
    density_kg_m3 : Decimal
        Density of the wood, to 1 [kg/m³].
    wood_kg, wood_lb, steel_kg, steel_lb, fittings_kg, fittings_lb : Decimal
        Parts of one top, to 0.1 [kg, lb].
    notes, source : tuple of str
        Limits of the figures, and their sources.
    """

    each_kg: Annotated[Decimal, Figure("Each")]
    each_lb: Annotated[Decimal, Figure("Each")]
    all_kg: Annotated[Decimal, Figure("All", headline=True)]
    all_lb: Annotated[Decimal, Figure("All", headline=True)]
    density_kg_m3: Annotated[Decimal, Figure("Density")]
    wood_kg: Annotated[Decimal, Figure("Wood")]
    wood_lb: Annotated[Decimal, Figure("Wood")]
    steel_kg: Annotated[Decimal, Figure("Steel", quiet=True)]
    steel_lb: Annotated[Decimal, Figure("Steel", quiet=True)]
    fittings_kg: Annotated[Decimal, Figure("Fittings", quiet=True)]
    fittings_lb: Annotated[Decimal, Figure("Fittings", quiet=True)]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def weight(top: TopWeight) -> Weight:
    """Return the weight of finished tops at a moisture content, with their steel and fittings.

    Parameters
    ----------
    top : TopWeight
        Size [1/8 µm], number, species, moisture [%], steel and fittings [kg].

    Returns
    -------
    Weight

    Raises
    ------
    Unknown
        If the tables hold no specific gravity of the species.

    Notes
    -----
    Weight = volume x density + steel + fittings. Base and wrapping come on top. Wood that steel is let into
    is not taken off. A species mean: a top may be a tenth lighter or heavier.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 4; tables 5-3b and 5-5b.
    .. [2] EN 1991-1-1, 2002, table A.4: steel 7850 kg/m³, upper end (from memory).

    Examples
    --------
    >>> top = TopWeight(
    ...     length_len=inches(60), width_len=inches(30), thickness_len=inches("3/2"), species="cherry"
    ... )
    >>> weight(top).each_lb
    Decimal('53.6')
    """
    wood = top.wood
    density = density_kg_m3(wood, top.mc_pct)
    bare = density * Fraction(top.length_len * top.width_len * top.thickness_len, _CUBIC_METRE)
    steel, fittings = _steel(top.channels), Fraction(top.fittings_kg)
    each = bare + steel + fittings
    return Weight(
        each_kg=places(each, 1),
        each_lb=places(each * LB_PER_KG, 1),
        all_kg=places(each * top.quantity, 1),
        all_lb=places(each * top.quantity * LB_PER_KG, 1),
        density_kg_m3=places(density, 0),
        wood_kg=places(bare, 1),
        wood_lb=places(bare * LB_PER_KG, 1),
        steel_kg=places(steel, 1),
        steel_lb=places(steel * LB_PER_KG, 1),
        fittings_kg=places(fittings, 1),
        fittings_lb=places(fittings * LB_PER_KG, 1),
        notes=_notes(top),
        source=(
            wood.gravity_source,
            RULE,
            *((STEEL,) if top.channels else ()),
            "a tenth either way: common practice, no source",
        ),
    )


def _steel(channels: tuple[Channel, ...]) -> Fraction:
    """Return the mass of the steel of one top [kg].

    Notes
    -----
    A channel with sharp corners has the section wall x (width + 2 (leg - wall)).
    """
    volume = sum(
        each.count * each.length_len * each.wall_len * (each.width_len + 2 * (each.leg_len - each.wall_len))
        for each in channels
    )
    return STEEL_KG_M3 * Fraction(volume, _CUBIC_METRE)


def _notes(top: TopWeight) -> tuple[str, ...]:
    """Return the limits of the weight: species mean, parts not counted."""
    mean = "mean of the species: a top may be a tenth lighter or heavier"
    if not top.channels and not top.fittings_kg:
        return (f"{mean}; steel and fittings not counted",)
    rolled = ("rolled channel with thick flanges weighs more: look at its label",) if top.channels else ()
    return (f"{mean}; base and wrapping not counted, nor wood cut away", *rolled)
