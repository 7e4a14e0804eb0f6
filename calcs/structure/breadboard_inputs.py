"""Panel and the breadboard end across it, as asked about them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from calcs.asking.field_types import Choice, Length, Whole
from calcs.asking.figures import Figure
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches
from calcs.wood.seasonal_movement import Seasons

FLUSH = ("when made", "in the dry season", "in the humid season", "between")


@dataclass(frozen=True, kw_only=True)
class BreadboardEnd(Seasons):
    """Panel and the end across it.

    Parameters
    ----------
    width_len : int
        Of the panel when made [1/8 µm].
    tongue_len : int, optional
        Length of the tongue across the panel [1/8 µm]; by default 1 in less at either edge, and short enough
        for the mortise to stay inside the end.
    pegs : int
        An odd number: one in the middle, the others evenly either side.
    peg_len, peg_edge_len, tolerance_len : int
        Diameter of a peg; outermost peg from the edge of the panel; play in all [1/8 µm].
    flush : str
        When the end is as long as the panel is wide, one of `FLUSH`.

    Raises
    ------
    Unreadable, OutOfRange, Unknown

    Notes
    -----
    Wood and seasons are those of `calcs.wood.seasonal_movement.Seasons`.
    """

    width_len: Annotated[int, Length("width of the panel", inches(6), inches(240)), Figure("Width")]
    tongue_len: Annotated[int | None, Length("length of the tongue", inches(2), inches(240))] = None
    pegs: Annotated[int, Whole("pegs", 1, 15)] = 3
    peg_len: Annotated[int, Length("diameter of a peg", inches("1/8"), inches(1))] = inches("3/8")
    peg_edge_len: Annotated[int, Length("outermost peg from the edge", inches("1/2"), inches(60))] = inches(3)
    tolerance_len: Annotated[int, Length("play in all", 0, inches("1/2"))] = inches("1/16")
    flush: Annotated[str, Choice("when it is flush", FLUSH)] = "when made"

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.pegs % 2 == 0:
            raise out_of_range("pegs", self.pegs, "an odd number, one in the middle")
        if self.tongue_len is not None and self.tongue_len >= self.width_len:
            raise out_of_range(
                "tongue", both_units(self.tongue_len), f"less than {both_units(self.width_len)}"
            )
        if self.pegs > 1 and 2 * self.peg_edge_len >= self.width_len - 2 * self.peg_len:
            raise out_of_range("peg_edge", both_units(self.peg_edge_len), "less than half the width")
