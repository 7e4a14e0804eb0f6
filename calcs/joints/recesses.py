"""Recess in the underside of a top, as joinery keeps clear of it and the drawing shows it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from calcs.asking.field_types import Length
from calcs.asking.figures import Figure
from calcs.asking.inputs import check
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches


@dataclass(frozen=True, kw_only=True)
class Recess:
    """Recess with straight sides.

    Parameters
    ----------
    from_end_len, along_len : int
        Where it begins from the finished end, and its size along the length of the top [1/8 µm].
    depth_len : int
        Depth from the underside [1/8 µm].
    from_edge_len, across_len : int, optional
        Where it begins from the left finished edge, and its size across [1/8 µm]; else the whole width.

    Raises
    ------
    Unreadable, OutOfRange
    """

    from_end_len: Annotated[
        int, Length("begins from the finished end", 0, inches(480)), Figure("From the end")
    ]
    along_len: Annotated[int, Length("size along the top", inches("1/16"), inches(480)), Figure("Along")]
    depth_len: Annotated[int, Length("depth from the underside", inches("1/64"), inches(12)), Figure("Deep")]
    from_edge_len: Annotated[
        int, Length("begins from the left edge", 0, inches(240)), Figure("From the edge")
    ] = 0
    across_len: Annotated[
        int | None, Length("size across the top", inches("1/16"), inches(240)), Figure("Across")
    ] = None

    def __post_init__(self) -> None:
        check(self)

    def crosses(self, place: int | None, reach: int) -> bool:
        """Return True where it comes within ``reach`` of a line along the top, ``place`` from the left edge
        [1/8 µm].
        """
        if place is None or self.across_len is None:
            return True
        return place + reach > self.from_edge_len and place - reach < self.from_edge_len + self.across_len

    def check_inside(self, length: int, width: int | None, thickness: int | None, field: str) -> None:
        """Refuse a recess that reaches past a top of this size [1/8 µm]; None is a size not known."""
        across = self.from_edge_len + (self.across_len or 0)
        reaches = (
            ("length", self.from_end_len + self.along_len, length),
            ("width", across, width),
            ("thickness", self.depth_len + 1, thickness),
        )
        for what, reach, most in reaches:
            if most is not None and reach > most:
                raise out_of_range(field, both_units(reach), f"inside the {what} of {both_units(most)}")

    @property
    def words(self) -> str:
        """Return the place and depth of the recess in words."""
        begins, ends = self.from_end_len, self.from_end_len + self.along_len
        return f"{both_units(begins)} to {both_units(ends)} from the end, {both_units(self.depth_len)} deep"
