"""Change of size across the grain with moisture, by species and cut.

Wood shrinks and swells across the grain in proportion to its moisture between 6 and 14 %. Outside, the
handbook goes by the shrinkage from green to ovendry, which begins at 30 % of moisture. Along the grain the
change is too small to matter for a top. Coefficients are means of a species; single boards differ.

References
----------
.. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 13, eq. 13-2, 13-3, table 13-5.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.field_types import Choice, Length, Percent, Wood
from calcs.asking.figures import Figure
from calcs.asking.inputs import check
from calcs.kit.errors import Unknown
from calcs.kit.rounding import half_up
from calcs.kit.units import inches
from calcs.kit.validators import decimal
from calcs.materials.own_woods import AT_TABLE, SATURATION
from calcs.materials.species import species

CUTS = ("flatsawn", "quartersawn", "rift", "mixed")
MEAN = "a mean of many boards: single boards differ"
LINEAR_LEAST, LINEAR_MOST = Decimal(6), Decimal(14)
MC_LEAST, MC_MOST = "0", str(SATURATION)
SIZE = Length("size across the grain", inches("1/64"), inches(480))
CUT = Choice("cut; mixed and rift count as flatsawn", CUTS)
MOISTURE = Percent("moisture content", MC_LEAST, MC_MOST)
RULE = (
    "change = size x coefficient x change of moisture, 6 to 14 %:"
    " Wood Handbook FPL-GTR-190 (2010) ch. 13, eq. 13-2"
)
WIDE_RULE = (
    "beyond 6 to 14 % of moisture: by the shrinkage from green to ovendry, in a straight line from 30 % down,"
    " change = size x change of moisture / (3000 / S - 30 + moisture at the start): Wood Handbook FPL-GTR-190"
    " (2010) ch. 13, eq. 13-3 (limits read, equation from memory)"
)
WIDE = "beyond 6 to 14 % of moisture: by the shrinkage from green to ovendry, which is approximate"


@dataclass(frozen=True, kw_only=True)
class Movement:
    """Width or thickness, and the two moisture contents it moves between.

    Parameters
    ----------
    size_len : int
        Size across the grain at the start, 1/64 in to 480 in [1/8 µm].
    species : str
        Name or shop name.
    cut : {"flatsawn", "quartersawn", "rift", "mixed"}
        Mixed and rift stock counts as flatsawn.
    mc_from, mc_to : Decimal
        Moisture contents, 0 to 30 [%].

    Raises
    ------
    Unreadable, OutOfRange, Unknown
        Naming the field, its value and what is allowed.
    """

    size_len: Annotated[int, SIZE]
    species: Annotated[str, Wood("species")]
    cut: Annotated[str, CUT]
    mc_from: Annotated[Decimal, MOISTURE]
    mc_to: Annotated[Decimal, MOISTURE]

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class MovementOf:
    """Change of a size.

    Attributes
    ----------
    change_len : int
        Change of the size [1/8 µm]; negative where it shrinks.
    end_len : int
        Size at the end [1/8 µm].
    coefficient : Decimal
        Dimensional change coefficient [fraction of size per % moisture].
    mc_from, mc_to : Decimal
        Moisture contents between which it moves [%].
    notes, source : tuple of str
        Limits of the figure, and its sources.
    """

    change_len: Annotated[int, Figure("Change, driest to most humid")]
    end_len: Annotated[int, Figure("Widest")]
    coefficient: Annotated[Decimal, Figure("Coefficient, per % moisture")]
    mc_from: Annotated[Decimal, Figure("Moisture, dry season")]
    mc_to: Annotated[Decimal, Figure("Moisture, humid season")]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def change(*, size_len: int, coefficient: Decimal, mc_from: Decimal, mc_to: Decimal) -> int:
    """Return the change of a size between two moisture contents [1/8 µm]; negative where it shrinks.

    Parameters
    ----------
    size_len : int
        Size at the start [1/8 µm].
    coefficient : Decimal
        Dimensional change coefficient, 0 to 0.01 [fraction of size per % moisture].
    mc_from, mc_to : Decimal
        Moisture contents, 0 to 30 [%].

    Raises
    ------
    Unreadable, OutOfRange
        If the coefficient or a moisture content is outside its range.

    Notes
    -----
    ΔD = D C (M_to - M_from) between 6 and 14 %, to the nearest 1/8 µm. Where one moisture is outside,
    ΔD = D (M_to - M_from) / (3000/S - 30 + M_from), with S the shrinkage from green to ovendry [%]. By the
    relation of the coefficients to S, 3000/S = 1/C + 20, so ΔD = D C (M_to - M_from) / (1 + C (M_from - 10)).

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 13, eq. 13-2, 13-3 and the
       relation of the coefficients to the shrinkage, with fibre saturation at 30 %.

    Examples
    --------
    40 in x 0.00274 x 4 = 0.4384 in.

    >>> mc = {"mc_from": Decimal(7), "mc_to": Decimal(11)}
    >>> round(change(size_len=inches(40), coefficient=Decimal("0.00274"), **mc) / inches(1), 4)
    0.4384
    """
    decimal(coefficient, "coefficient", least="0", most="0.01")
    _check_moisture(mc_from, mc_to)
    factor, start = Fraction(coefficient), Fraction(mc_from)
    if is_wide(mc_from, mc_to):
        factor /= 1 + factor * (start - AT_TABLE)
    return half_up(size_len * factor * (Fraction(mc_to) - start))


def is_wide(*moistures: Decimal) -> bool:
    """Return whether one of these moisture contents is outside 6 to 14 %, where coefficients do not hold."""
    return any(not LINEAR_LEAST <= each <= LINEAR_MOST for each in moistures)


def rules(start: Decimal, *ends: Decimal) -> tuple[str, ...]:
    """Return the sources of the relations by which wood moves from one moisture content to others."""
    used = {is_wide(start, end) for end in ends}
    return (*((RULE,) if False in used else ()), *((WIDE_RULE,) if True in used else ()))


def movement(move: Movement) -> MovementOf:
    """Return the change of a width or thickness between two moisture contents.

    Parameters
    ----------
    move : Movement
        Size [1/8 µm], species, cut and moisture contents [%].

    Returns
    -------
    MovementOf
        To the nearest 1/8 µm; coefficients carry three figures.

    Raises
    ------
    Unknown
        If the species is not in the table.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 13, eq. 13-2, 13-3, table
       13-5.
    """
    coefficient, source = coefficient_of(move.species, move.cut)
    moved = change(size_len=move.size_len, coefficient=coefficient, mc_from=move.mc_from, mc_to=move.mc_to)
    return MovementOf(
        change_len=moved,
        end_len=move.size_len + moved,
        coefficient=coefficient,
        mc_from=move.mc_from,
        mc_to=move.mc_to,
        notes=(MEAN, WIDE) if is_wide(move.mc_from, move.mc_to) else (MEAN,),
        source=(source, *rules(move.mc_from, move.mc_to)),
    )


def coefficient_of(name: str, cut: str) -> tuple[Decimal, str]:
    """Return the dimensional change coefficient of a species by its cut, and its source.

    Parameters
    ----------
    name : str
        Name or shop name of the species.
    cut : {"flatsawn", "quartersawn", "rift", "mixed"}
        Quartersawn takes the radial coefficient, every other cut the tangential one.

    Returns
    -------
    tuple of Decimal and str
        Coefficient [fraction of size per % moisture], source.

    Raises
    ------
    Unknown
        If the species is not in the table, or its figures lack the shrinkage of this cut.
    """
    wood = species(name)
    coefficient = wood.radial if cut == "quartersawn" else wood.tangential
    if coefficient is None:
        way = "radial" if cut == "quartersawn" else "tangential"
        raise Unknown(
            f"{wood.name} has no {way} shrinkage among its figures, so no movement of {cut} wood",
            field="species",
            value=wood.name,
            allowed=f"its {way} shrinkage, from green to ovendry",
        )
    return coefficient, wood.movement_source


def _check_moisture(mc_from: Decimal, mc_to: Decimal) -> None:
    """Refuse a moisture content outside 0 to 30 % [%]."""
    MOISTURE.check(mc_from, "mc_from")
    MOISTURE.check(mc_to, "mc_to")
