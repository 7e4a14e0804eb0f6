"""Panel and the breadboard end across it, as asked about them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from calcs.asking.field_types import Choice, Length, Whole
from calcs.asking.figures import Figure
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches
from calcs.lumber.ends import LEAST_WALL
from calcs.wood.seasonal_movement import Seasons

FLUSH = ("when made", "in the dry season", "in the humid season", "between")


@dataclass(frozen=True, kw_only=True)
class BreadboardEnd(Seasons):
    """Panel and the end across it.

    Parameters
    ----------
    width_len : int
        Of the panel when made [1/8 µm].
    thickness_len : int, optional
        Of panel and end [1/8 µm]; the tongue is a third of it where its own thickness is not given.
    end_wide_len : int
        Width of the end, along the panel's grain [1/8 µm]; 4 in.
    tongue_len : int, optional
        Length of the tongue across the panel [1/8 µm]; by default 1 in less at either edge, and short enough
        for the mortise to stay inside the end.
    tongue_deep_len, tongue_thick_len : int, optional
        How far the tongue goes into the end, half its width by default; thickness of the tongue [1/8 µm].
    glued_len : int, optional
        Stretch in the middle that is glued [1/8 µm]; by default 6 in, or a third of a panel under 18 in.
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
    thickness_len: Annotated[
        int | None, Length("thickness of panel and end", inches("1/2"), inches(12)), Figure("Thickness")
    ] = None
    end_wide_len: Annotated[
        int, Length("width of the end", inches(1), inches(24)), Figure("Width of a breadboard end")
    ] = inches(4)
    tongue_len: Annotated[int | None, Length("length of the tongue", inches(2), inches(240))] = None
    tongue_deep_len: Annotated[
        int | None, Length("how far the tongue goes into the end", inches("1/4"), inches(12))
    ] = None
    tongue_thick_len: Annotated[int | None, Length("thickness of the tongue", inches("1/8"), inches(4))] = (
        None
    )
    glued_len: Annotated[int | None, Length("glued in the middle", inches(1), inches(240))] = None
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
        _check_section(self)
        if self.pegs > 1 and 2 * self.peg_edge_len >= self.width_len - 2 * self.peg_len:
            raise out_of_range("peg_edge", both_units(self.peg_edge_len), "less than half the width")


def _check_section(end: BreadboardEnd) -> None:
    """Refuse a tongue through the end or over half the thickness, and glue over half the width."""
    most = end.end_wide_len - LEAST_WALL
    if end.tongue_deep_len is not None and end.tongue_deep_len > most:
        allowed = f"at most {both_units(most)} in an end {both_units(end.end_wide_len)} wide"
        raise out_of_range("tongue_deep", both_units(end.tongue_deep_len), allowed)
    thick = end.tongue_thick_len
    if thick is not None and end.thickness_len is not None and 2 * thick > end.thickness_len:
        allowed = f"at most {both_units(end.thickness_len // 2)}, half the thickness"
        raise out_of_range("tongue_thick", both_units(thick), allowed)
    if end.glued_len is not None and 2 * end.glued_len > end.width_len:
        allowed = f"at most {both_units(end.width_len // 2)}, half the width"
        raise out_of_range("glued", both_units(end.glued_len), allowed)
