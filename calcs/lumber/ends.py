"""Breadboard ends across a top: what they take off the length of the strips, and their own strips and boards.

A tongue of the panel goes into each end, so the panel is as long as the top less both ends plus both tongues.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Protocol

from calcs.asking.field_types import Length
from calcs.asking.figures import Figure
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches

ENDS = 2
LEAST_WALL = inches("1/2")
"""Wood left beyond the tongue in an end; common practice, no source."""

EndWide = Annotated[
    int,
    Length("width of a breadboard end, 0 without", 0, inches(24)),
    Figure("Width of a breadboard end", quiet=True),
]
TongueDeep = Annotated[
    int,
    Length("how far the tongue goes into the end", 0, inches(12)),
    Figure("Tongue goes into the end", quiet=True),
]


@dataclass(frozen=True, kw_only=True)
class EndPiece:
    """One breadboard end as it is ripped and cut.

    Attributes
    ----------
    label : str
        Its mark.
    width_len, cut_len : int
        Width of the end, and length it is cut to at first [1/8 µm].
    """

    label: Annotated[str, Figure("End")]
    width_len: Annotated[int, Figure("Width")]
    cut_len: Annotated[int, Figure("Cut to")]


class HasEnds(Protocol):
    """Top that may have breadboard ends; all lengths in 1/8 µm."""

    @property
    def length_len(self) -> int:
        """Return the length of the whole top."""

    @property
    def end_wide_len(self) -> int:
        """Return the width of an end; 0 where it has none."""

    @property
    def tongue_deep_len(self) -> int:
        """Return how far a tongue goes into an end."""


def panel_len(top: HasEnds) -> int:
    """Return the length of the panel with its tongues [1/8 µm]: that of the top where it has no ends."""
    return top.length_len - ENDS * (top.end_wide_len - top.tongue_deep_len)


def check_ends(top: HasEnds) -> None:
    """Refuse ends that leave no panel, and a tongue that comes through its end.

    Raises
    ------
    OutOfRange
    """
    if not top.end_wide_len:
        if top.tongue_deep_len:
            raise out_of_range("tongue_deep", both_units(top.tongue_deep_len), '0" without breadboard ends')
        return
    if ENDS * top.end_wide_len >= top.length_len:
        allowed = f"less than half the length, {both_units(top.length_len // ENDS)}"
        raise out_of_range("end_wide", both_units(top.end_wide_len), allowed)
    most = top.end_wide_len - LEAST_WALL
    if top.tongue_deep_len > most:
        allowed = f"at most {both_units(max(0, most))} in an end {both_units(top.end_wide_len)} wide"
        raise out_of_range("tongue_deep", both_units(top.tongue_deep_len), allowed)


def usual_tongue_deep(end_wide_len: int) -> int:
    """Return how far a tongue usually goes into an end [1/8 µm]: half its width.

    Common practice, no source.
    """
    return int(Fraction(end_wide_len, 2))


def end_pieces(*, width_len: int, end_wide_len: int, trim_len: int) -> tuple[EndPiece, ...]:
    """Return the ends of one top as they are ripped, with the extra length of a strip; none without ends."""
    if not end_wide_len:
        return ()
    return tuple(
        EndPiece(label=f"End {n}", width_len=end_wide_len, cut_len=width_len + trim_len)
        for n in range(1, ENDS + 1)
    )
