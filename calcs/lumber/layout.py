"""Strips of an edge-glued top: number, width, order.

Strip widths are rounded up to 1/64 in, so that their sum is never short of the finished width. The excess
comes off at final trim. Widths, ring and planing direction follow common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from calcs.asking.field_types import Choice, Length, Many, Text
from calcs.asking.figures import Figure
from calcs.asking.inputs import check
from calcs.kit.rounding import up
from calcs.kit.typed import out_of_range
from calcs.kit.units import UNITS_PER_INCH, both_units, format_length, inches
from calcs.lumber.ends import EndPiece, EndWide, TongueDeep, check_ends, end_pieces, panel_len
from calcs.tables import PRACTICE

STEP = UNITS_PER_INCH // 64
MOST_STRIPS = 200
RING_DIRECTIONS = ("best face", "alternating", "all heart up")
RE_RIP = inches("3/16")
"""Width that a joint costs when it is ripped apart and jointed again; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class StripLayout:
    """Top to be divided into strips.

    Parameters
    ----------
    width_len, length_len : int
        Finished size of the top [1/8 µm].
    widest_len : int
        Widest strip wanted [1/8 µm]; 6 1/2 in by default.
    final_trim_len : int
        Width to come off at final trim besides [1/8 µm].
    actual_widths_len : tuple of int, optional
        Widths of the strips at hand, left to right [1/8 µm]; then nothing is divided.
    actual_from : tuple of str, optional
        Boards that these strips come from, one for each.
    prefer : {None, "odd", "even"}
        Number of strips wanted.
    ring_direction : {"best face", "alternating", "all heart up"}
        Which way the year rings lie.
    lost_len : int
        Width lost since to joints that were ripped apart, `RE_RIP` each [1/8 µm].
    trim_len : int
        Extra length of every strip, squared after the glue-up, half at each end [1/8 µm]; 2 in by default.
    end_wide_len, tongue_deep_len : int
        Width of a breadboard end, and how far the tongue of the panel goes into it [1/8 µm]; 0 without ends.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    width_len: Annotated[int, Length("finished width", inches(1), inches(240)), Figure("Width")]
    length_len: Annotated[int, Length("finished length", inches(1), inches(480)), Figure("Length")]
    widest_len: Annotated[
        int, Length("widest strip wanted", inches(1), inches(60)), Figure("Widest strip wanted")
    ] = inches("13/2")
    final_trim_len: Annotated[
        int, Length("width to come off at final trim", 0, inches(12)), Figure("Trim on the width")
    ] = 0
    actual_widths_len: (
        Annotated[
            tuple[int, ...],
            Many("widths at hand", Length("width", inches("1/2"), inches(60)), 1, MOST_STRIPS),
            Figure("Actual widths"),
        ]
        | None
    ) = None
    actual_from: Annotated[
        tuple[str, ...] | None,
        Many("boards that the widths at hand come from", Text("board"), 1, MOST_STRIPS),
        Figure("Boards of the actual widths"),
    ] = None
    prefer: Annotated[str | None, Choice("number of strips", ("odd", "even")), Figure("Count of strips")] = (
        None
    )
    ring_direction: Annotated[str, Choice("ring direction", RING_DIRECTIONS), Figure("Rings")] = "best face"
    lost_len: Annotated[
        int,
        Length("width lost to re-ripped joints", 0, inches(60)),
        Figure("Width lost to re-ripped joints", quiet=True),
    ] = 0
    trim_len: Annotated[
        int, Length("extra length of every strip", 0, inches(24)), Figure("Trim on the length")
    ] = inches(2)
    end_wide_len: EndWide = 0
    tongue_deep_len: TongueDeep = 0

    def __post_init__(self) -> None:
        check(self)
        check_ends(self)
        count = len(self.actual_widths_len or ())
        if self.actual_from is not None and len(self.actual_from) != count:
            raise out_of_range("actual_from", len(self.actual_from), f"{count}, one for each actual width")


@dataclass(frozen=True, kw_only=True)
class Strip:
    """One strip.

    Attributes
    ----------
    label : str
        Mark on the strip: A, B, C.
    left_len, width_len : int
        Left edge from the left edge of the blank, and width [1/8 µm].
    rings : str
        How its rings lie.
    origin : str
        Board it comes from, if known.
    """

    label: Annotated[str, Figure("Strip")]
    left_len: Annotated[int, Figure("Left edge", hidden=True)]
    width_len: Annotated[int, Figure("Width")]
    rings: Annotated[str, Figure("Rings")]
    origin: Annotated[str, Figure("From")] = ""


@dataclass(frozen=True, kw_only=True)
class Layout:
    """Strips left to right with the show face up; lengths in 1/8 µm.

    Attributes
    ----------
    count, strip_len : int
        Number of strips, and width of the widest.
    blank_len, sum_len : int
        Length as glued up, and sum of the widths.
    reach_len, excess_len, short_len : int
        Sum of the strips less what was lost; what comes off at final trim, half at each edge; what is missing
        where the width is out of reach.
    strips : tuple of Strip
        Strips in order.
    ends : tuple of EndPiece
        Breadboard ends, from the same boards.
    planing, witness : str
        Directions for the planing arrow and the witness mark.
    warnings, notes, source : tuple of str
        Sentences for the maker, and the sources.
    """

    count: Annotated[int, Figure("Strips")]
    strip_len: Annotated[int, Figure("Width of a strip")]
    blank_len: Annotated[int, Figure("Length of a strip, rough")]
    sum_len: Annotated[int, Figure("Together")]
    reach_len: Annotated[int, Figure("Together, less what was lost")]
    excess_len: Annotated[int, Figure("Comes off at final trim")]
    short_len: Annotated[int, Figure("Missing in width", quiet=True)]
    strips: Annotated[tuple[Strip, ...], Figure("Rip list")]
    ends: Annotated[tuple[EndPiece, ...], Figure("Breadboard ends")]
    planing: Annotated[str, Figure("Planing", sentence=True)]
    witness: Annotated[str, Figure("Witness mark", sentence=True)]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def strips(layout: StripLayout) -> Layout:
    """Divide a top into strips no wider than wanted, rounded up to 1/64 in.

    Parameters
    ----------
    layout : StripLayout
        Finished size and widest strip [1/8 µm], or the actual widths.

    Returns
    -------
    Layout
        Equal strips, or the actual ones; ``strip_len`` is the widest of them.

    Raises
    ------
    OutOfRange
        If actual widths do not reach the finished width, or more than 200 strips would be needed.

    Notes
    -----
    Count = the least n with ceil64(width / n) <= widest, and odd or even where asked. ceil64 rounds up to
    1/64 in.

    Examples
    --------
    32 in / 5 = 6 2/5 in, rounded up to 6 26/64 in; five of them are 1/32 in over.

    >>> top = strips(StripLayout(width_len=inches(32), length_len=inches(60)))
    >>> top.count, format_length(top.strip_len, "in"), format_length(top.excess_len, "in")
    (5, '6 13/32"', '1/32"')
    """
    widths = _equal(layout) if layout.actual_widths_len is None else _actual(layout)
    edges = [sum(widths[:index]) for index in range(len(widths))]
    made = tuple(
        Strip(
            label=strip_label(index),
            left_len=edges[index],
            width_len=width,
            rings=_rings(index, layout.ring_direction),
            origin=layout.actual_from[index] if layout.actual_from else "",
        )
        for index, width in enumerate(widths)
    )
    reach = sum(widths) - layout.lost_len
    return Layout(
        count=len(widths),
        strip_len=max(widths),
        blank_len=panel_len(layout) + layout.trim_len,
        sum_len=sum(widths),
        reach_len=reach,
        excess_len=max(0, reach - layout.width_len),
        short_len=max(0, layout.width_len - reach),
        warnings=_warnings(layout, reach),
        strips=made,
        ends=end_pieces(
            width_len=layout.width_len, end_wide_len=layout.end_wide_len, trim_len=layout.trim_len
        ),
        planing="arrow on each show face, all pointing with the grain, so that the panel planes one way",
        witness=f"triangle over all joints on the show face, base on {made[0].label} to {made[-1].label}",
        notes=_notes(layout, widths),
        source=(f"strip widths, ring and planing direction, witness mark, extra length: {PRACTICE}",),
    )


def _warnings(layout: StripLayout, reach: int) -> tuple[str, ...]:
    """Return a warning where lost width leaves the finished width out of reach."""
    if reach >= layout.width_len:
        return ()
    return (
        f"finished width out of reach: {both_units(reach)} left of {both_units(layout.width_len)};"
        " add a strip or agree on less",
    )


def _equal(layout: StripLayout) -> tuple[int, ...]:
    """Return equal widths of the fewest strips that are narrow enough [1/8 µm]."""
    wanted = layout.width_len + layout.final_trim_len
    count = up(Fraction(wanted, layout.widest_len))
    while _odd_one_out(count, layout.prefer) or _strip(wanted, count) > layout.widest_len:
        count += 1
    if count > MOST_STRIPS:
        allowed = f"at least {both_units(up(Fraction(wanted, MOST_STRIPS)))} for this top"
        raise out_of_range("widest", both_units(layout.widest_len), allowed)
    return (_strip(wanted, count),) * count


def _strip(wanted: int, count: int) -> int:
    """Return the width of one of ``count`` equal strips, rounded up to 1/64 in [1/8 µm]."""
    return up(Fraction(wanted, count * STEP)) * STEP


def _odd_one_out(count: int, prefer: str | None) -> bool:
    """Return True where the number of strips is not odd or even as wanted."""
    return prefer is not None and (count % 2 == 1) != (prefer == "odd")


def _actual(layout: StripLayout) -> tuple[int, ...]:
    """Return the widths at hand [1/8 µm]; refuse those whose sum is short."""
    widths = tuple(layout.actual_widths_len or ())
    wanted = layout.width_len + layout.final_trim_len
    if sum(widths) < wanted:
        short = f"{format_length(wanted - sum(widths), 'in')} short of {both_units(wanted)}"
        raise out_of_range("actual_widths", both_units(sum(widths)), f"the sum is {short}")
    return widths


def _notes(layout: StripLayout, widths: tuple[int, ...]) -> tuple[str, ...]:
    """Return notes on strips that are too wide, on their number, and on equal widths."""
    wide = [strip_label(index) for index, width in enumerate(widths) if width > layout.widest_len]
    notes = [f"wider than wanted: {', '.join(wide)}"] if wide else []
    if layout.prefer and _odd_one_out(len(widths), layout.prefer):
        notes.append(f"{len(widths)} strips, not an {layout.prefer} number")
    if len(set(widths)) == 1 and len(widths) > 1 and layout.actual_from is None:
        notes.append("equal widths look deliberate")
    return tuple(notes)


def strip_label(index: int) -> str:
    """Return the mark on a strip: A to Z, then AA, AB and so on.

    Examples
    --------
    >>> strip_label(0), strip_label(25), strip_label(26)
    ('A', 'Z', 'AA')
    """
    letter = chr(ord("A") + index % 26)
    return letter if index < 26 else strip_label(index // 26 - 1) + letter


def _rings(index: int, direction: str) -> str:
    """Return how the rings of a strip lie; heart side up and down in turn where they alternate."""
    if direction == "best face":
        return "best face up, rings as they fall"
    return "heart side up" if direction == "all heart up" or index % 2 == 0 else "heart side down"
