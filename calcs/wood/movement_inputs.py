"""Movement of a width or thickness, as asked: by moisture or by the seasons, by species or own coefficient.

One question with four forms. The formula is that of `calcs.wood.movement`; `changes` takes NumPy arrays.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Any

from calcs.asking.field_types import Number, Wood
from calcs.asking.inputs import check
from calcs.kit.errors import Unreadable
from calcs.kit.typed import out_of_range
from calcs.materials.own_woods import AT_TABLE
from calcs.wood.air import Air
from calcs.wood.emc import EMC_SOURCE, TEMP, equilibrium_moisture
from calcs.wood.indoors import ROOM_C
from calcs.wood.movement import (
    CUT,
    LINEAR_LEAST,
    LINEAR_MOST,
    MC_LEAST,
    MC_MOST,
    MEAN,
    MOISTURE,
    SIZE,
    WIDE,
    MovementOf,
    change,
    coefficient_of,
    is_wide,
    rules,
)
from calcs.wood.season_change import DRIEST, FULL_SWING, WETTEST

OWN_VALUE = "your own value of the coefficient: checked against nothing here"


@dataclass(frozen=True, kw_only=True)
class MovementInputs:
    """Size across the grain, its wood, and the moisture contents or airs it moves between.

    Parameters
    ----------
    size_len : int
        Size at the start [1/8 µm].
    species, cut : str
        ``cut`` is "flatsawn" by default; mixed and rift stock counts as that.
    coefficient : Decimal, optional
        Your own dimensional change coefficient [fraction of size per % moisture]; then no species is needed.
    mc_from_pct, mc_to_pct : Decimal, optional
        Moisture contents, 0 to 30 [%].
    temp_c, rh_low_pct, rh_high_pct : Decimal, optional
        Or the room, and its driest and most humid air of the year [°C, %].

    Raises
    ------
    Unreadable
        If neither species nor coefficient is given, or not exactly one pair of moistures or humidities.
    OutOfRange, Unknown
        Naming the field, its value and what is allowed.
    """

    size_len: Annotated[int, SIZE]
    species: Annotated[str | None, Wood("species")] = None
    cut: Annotated[str, CUT] = "flatsawn"
    coefficient: Annotated[
        Decimal | None, Number("your own coefficient, fraction of size per %", "0.0001", "0.01")
    ] = None
    mc_from_pct: Annotated[Decimal | None, MOISTURE] = None
    mc_to_pct: Annotated[Decimal | None, MOISTURE] = None
    temp_c: Annotated[Decimal, TEMP] = ROOM_C
    rh_low_pct: Annotated[Decimal | None, DRIEST] = None
    rh_high_pct: Annotated[Decimal | None, WETTEST] = None

    def __post_init__(self) -> None:
        check(self)
        if self.species is None and self.coefficient is None:
            raise _needed("species", None, "a species, or your own coefficient")
        moist, air = (self.mc_from_pct, self.mc_to_pct), (self.rh_low_pct, self.rh_high_pct)
        if sorted((moist.count(None), air.count(None))) != [0, 2]:
            allowed = "mc_from_pct and mc_to_pct, or rh_low_pct and rh_high_pct"
            raise _needed("mc_from_pct", self.mc_from_pct, allowed)
        if None not in air and air[1] < air[0]:  # type: ignore[operator]
            raise out_of_range("rh_high_pct", air[1], f"{air[0]} to {WETTEST.most}")


def movement_for(asked: MovementInputs) -> MovementOf:
    """Return the change of a size between two moisture contents, or between the seasons of a room.

    Parameters
    ----------
    asked : MovementInputs
        Size, wood or coefficient, and moisture contents or airs.

    Returns
    -------
    MovementOf
        To the nearest 1/8 µm; negative where it shrinks.

    Notes
    -----
    ΔD = D C (M_to - M_from), beyond 6 to 14 % that of `calcs.wood.movement.change`; for seasons M is the
    equilibrium moisture content of each air.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 13, eq. 13-2, 13-3, table
       13-5.

    Examples
    --------
    >>> from calcs.kit.units import inches
    >>> top = MovementInputs(
    ...     size_len=inches(40), species="walnut", mc_from_pct=Decimal(7), mc_to_pct=Decimal(11)
    ... )  # table 13-5: 0.00274; 40 x 0.00274 x 4 = 0.438 in
    >>> round(movement_for(top).change_len / inches(1), 3)
    0.438
    """
    if asked.coefficient is not None:
        coefficient, source, note = asked.coefficient, OWN_VALUE, OWN_VALUE
    else:
        assert asked.species is not None
        coefficient, source = coefficient_of(asked.species, asked.cut)
        note = MEAN
    mc_from, mc_to = _moistures(asked)
    moved = change(size_len=asked.size_len, coefficient=coefficient, mc_from=mc_from, mc_to=mc_to)
    seasons = asked.rh_low_pct is not None
    return MovementOf(
        change_len=moved,
        end_len=asked.size_len + moved,
        coefficient=coefficient,
        mc_from=mc_from,
        mc_to=mc_to,
        notes=(note, *((WIDE,) if is_wide(mc_from, mc_to) else ()), *((FULL_SWING,) if seasons else ())),
        source=(source, *rules(mc_from, mc_to), *((EMC_SOURCE,) if seasons else ())),
    )


def changes(size: Any, coefficient: Any, mc_from: Any, mc_to: Any) -> Any:
    """Return the changes of many sizes at once, in the unit of ``size`` and unrounded.

    Parameters
    ----------
    size, coefficient, mc_from, mc_to : array of float
        NumPy arrays of one shape: size, fraction of size per %, moisture contents, 0 to 30 [%].

    Returns
    -------
    array of float
        Changes, in the shape of the inputs; negative where a size shrinks.

    Raises
    ------
    OutOfRange
        If any moisture is outside 0 to 30 %; the error names the one farthest out.
    """
    for name, values in (("mc_from", mc_from), ("mc_to", mc_to)):
        low, high = values.min(), values.max()
        if not (low >= float(MC_LEAST) and high <= float(MC_MOST)):
            raise out_of_range(name, high if low >= float(MC_LEAST) else low, f"{MC_LEAST} to {MC_MOST}")
    low, high = float(LINEAR_LEAST), float(LINEAR_MOST)
    wide = (mc_from < low) | (mc_from > high) | (mc_to < low) | (mc_to > high)
    return size * coefficient * (mc_to - mc_from) / (1 + wide * coefficient * (mc_from - AT_TABLE))


def _moistures(asked: MovementInputs) -> tuple[Decimal, Decimal]:
    """Return the two moisture contents [%]: as given, or those that the two airs bring wood to."""
    if asked.mc_from_pct is not None and asked.mc_to_pct is not None:
        return asked.mc_from_pct, asked.mc_to_pct
    assert asked.rh_low_pct is not None and asked.rh_high_pct is not None
    return (
        equilibrium_moisture(Air(temp_c=asked.temp_c, rh_pct=asked.rh_low_pct)),
        equilibrium_moisture(Air(temp_c=asked.temp_c, rh_pct=asked.rh_high_pct)),
    )


def _needed(field: str, value: object, allowed: str) -> Unreadable:
    """Return the refusal of inputs where one is missing."""
    return Unreadable(f"{field} is needed: {allowed}", field=field, value=value, allowed=allowed)
