"""Table on its base, as asked about its tipping over."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from calcs.asking.field_types import Length, Number, Wood
from calcs.asking.figures import Figure
from calcs.asking.inputs import check
from calcs.kit.errors import OutOfRange
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches, mm
from calcs.wood.weight import TopWeight, weight

LEANING_KG = Decimal("40.8")
"""A force of 400 N near the edge of a table, EN 12521 and EN 15372 (from memory), as a mass."""
FROM_EDGE_LEN = mm(50)
"""ISO 7172: the vertical force is 50 mm in from the edge."""


@dataclass(frozen=True, kw_only=True)
class OnFeet:
    """Table: a top on a base, its feet at the corners of a rectangle.

    Parameters
    ----------
    length_len, width_len : int
        Size of the top [1/8 µm].
    thickness_len, species
        Thickness of the top [1/8 µm] and its wood; needed where its weight is not given.
    top_kg : Decimal, optional
        Weight of the top [kg].
    feet_length_len, feet_width_len : int
        Size of the rectangle of the feet, along and across the top, outside to outside [1/8 µm].
    left_len : int, optional
        How far the top reaches past the left feet [1/8 µm]; by default as far as past the right ones. Across
        the top the base is always in the middle.
    base_kg : Decimal
        Weight of the base [kg].
    load_kg : Decimal
        What leans on the edge [kg]; 40.8 kg, that is 400 N.
    from_edge_len : int
        Its distance from the edge [1/8 µm]; 50 mm.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
        Also where neither the weight of the top is given nor its thickness and species.
    """

    length_len: Annotated[int, Length("length of the top", inches(4), inches(480)), Figure("Length")]
    width_len: Annotated[int, Length("width of the top", inches(4), inches(240)), Figure("Width")]
    thickness_len: Annotated[
        int | None, Length("thickness of the top", inches("1/8"), inches(12)), Figure("Thickness")
    ] = None
    species: Annotated[str | None, Wood("species")] = None
    top_kg: Annotated[Decimal | None, Number("weight of the top", "0.1", "5000", "kg")] = None
    feet_length_len: Annotated[int, Length("feet, along the top", inches(2), inches(480))]
    feet_width_len: Annotated[int, Length("feet, across the top", inches(2), inches(240))]
    left_len: Annotated[int | None, Length("top past the left feet", 0, inches(240))] = None
    base_kg: Annotated[Decimal, Number("weight of the base", "0", "2000", "kg")] = Decimal(0)
    load_kg: Annotated[Decimal, Number("what leans on the edge", "1", "500", "kg")] = LEANING_KG
    from_edge_len: Annotated[int, Length("how far in from the edge", 0, inches(24))] = FROM_EDGE_LEN

    def __post_init__(self) -> None:
        check(self)
        if self.top_kg is None and (self.thickness_len is None or self.species is None):
            raise OutOfRange(
                "top is needed: the weight of the top, or its thickness and species",
                field="top",
                value=None,
                allowed="a weight, or thickness and species",
            )
        most = min(self.length_len, self.width_len) // 2
        if self.from_edge_len > most:
            allowed = f"at most {both_units(most)}, half the top"
            raise out_of_range("from_edge", both_units(self.from_edge_len), allowed)
        if self.left_len is not None and self.left_len > self.length_len:
            allowed = f"at most {both_units(self.length_len)}, the length"
            raise out_of_range("left", both_units(self.left_len), allowed)

    @property
    def weight_kg(self) -> Decimal:
        """Return the weight of the top [kg]: as given, else by size and species."""
        if self.top_kg is not None:
            return self.top_kg
        assert self.thickness_len is not None and self.species is not None
        return weight(
            TopWeight(
                length_len=self.length_len,
                width_len=self.width_len,
                thickness_len=self.thickness_len,
                species=self.species,
            )
        ).each_kg
