"""A solid-wood top as it is drawn: what the sheets of a drawing take.

``along`` runs from the left finished end, ``across`` from the finished edge of the first strip, show face
up. All lengths are whole numbers of 1/8 µm.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate

from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units
from calcs.lumber.ends import panel_len
from calcs.lumber.layout import Layout, StripLayout

RINGS = {"heart side up": "up", "heart side down": "down"}


@dataclass(frozen=True, kw_only=True)
class Strip:
    """A strip; the heart side of its rings is "up" or "down", empty where they lie as they fall."""

    label: str
    width: int
    rings: str = ""


@dataclass(frozen=True, kw_only=True)
class Slots:
    """Slots of every joint: middles from the end of the panel, size, rows from the show face."""

    at: tuple[int, ...]
    along: int
    into: int
    thick: int
    rows: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class Session:
    """A clamping: its number, the parts it joins, each as (first strip, one after its last), and its
    round.
    """

    number: int
    parts: tuple[tuple[int, int], ...]
    round: int


@dataclass(frozen=True, kw_only=True)
class GlueUp:
    """Gluing of a panel: what comes off each end, slots, sessions, places of clamps and cauls from the
    panel's end.
    """

    trim: int
    slots: Slots | None = None
    sessions: tuple[Session, ...] = ()
    above: tuple[int, ...] = ()
    below: tuple[int, ...] = ()
    cauls: tuple[int, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Bolt:
    """A bolt of a channel: from the channel's left end, and the length of its slot."""

    at: int
    slot: int


@dataclass(frozen=True, kw_only=True)
class Channels:
    """Steel channels across the grain in recesses of the underside."""

    at: tuple[int, ...]
    long: int
    wide: int
    deep: int
    wall: int
    recess_long: int
    recess_wide: int
    recess_deep: int
    recess_middle: int
    bolts: tuple[Bolt, ...]
    bolt: int
    insert: int


@dataclass(frozen=True, kw_only=True)
class Peg:
    """A peg: from the panel's first edge, the length of its slot, and from the slot's inner end to the peg
    as made.
    """

    at: int
    slot: int
    inner: int
    round: bool


@dataclass(frozen=True, kw_only=True)
class Ends:
    """Breadboard ends. The reveals say how far the end stands proud of the panel; negative where the panel
    does.
    """

    long: int
    wide: int
    tongue: int
    tongue_thick: int
    tongue_deep: int
    mortise: int
    mortise_deep: int
    pegs: tuple[Peg, ...]
    peg: int
    pegs_in: int
    glued: tuple[int, int]
    made: int
    dry: int
    humid: int


@dataclass(frozen=True, kw_only=True)
class Edge:
    """The edge: radius above, radius below, and a bevel of the underside, inward and upward; 0 where there
    is none.
    """

    words: str = "square"
    radius: int = 0
    below: int = 0
    bevel: int = 0


@dataclass(frozen=True, kw_only=True)
class Top:
    """A top to be drawn.

    Raises
    ------
    OutOfRange
        If something that goes on it would lie outside it.
    """

    name: str = ""
    length: int
    width: int
    thickness: int | None = None
    tolerance: int = 0
    yearly: int = 0
    """How much wider the top is in the humid season than in the dry one."""
    strips: tuple[Strip, ...] = ()
    edge: Edge = Edge()
    glue: GlueUp | None = None
    channels: Channels | None = None
    ends: Ends | None = None
    ends_wide: int = 0
    tongue_deep: int = 0

    def __post_init__(self) -> None:
        for field, length in (("length", self.length), ("width", self.width)):
            if length <= 0:
                raise out_of_range(field, both_units(length), "above 0")
        if self.glue:
            low, high = self.panel
            trim, long = self.glue.trim, high - low
            for name in ("above", "below", "cauls"):
                for at in getattr(self.glue, name):
                    _inside(name, at, -trim, long + trim)
            for at in self.glue.slots.at if self.glue.slots else ():
                _inside("slots", at, 0, long)
        if self.channels:
            for at in self.channels.at:
                half = self.channels.recess_wide // 2
                _inside("channels", at, half, self.length - half)
            _inside("recess", self.channels.recess_long, 0, self.width)

    @property
    def panel(self) -> tuple[int, int]:
        """Return where the strips begin and end once squared, tongues and all."""
        off = self.ends_wide - self.tongue_deep
        return off, self.length - off

    @property
    def blank(self) -> tuple[int, int]:
        """Return where the strips begin and end as they are glued."""
        low, high = self.panel
        trim = self.glue.trim if self.glue else 0
        return low - trim, high + trim

    @property
    def seams(self) -> list[int]:
        """Return the edges of the strips, outer ones included; the blank lies evenly over the finished
        width.
        """
        if not self.strips:
            return [0, self.width]
        sums = [0, *accumulate(strip.width for strip in self.strips)]
        return [at - (sums[-1] - self.width) // 2 for at in sums]


def _inside(field: str, at: int, least: int, most: int) -> None:
    if not least <= at <= most:
        raise out_of_range(field, both_units(at), f"{both_units(least)} to {both_units(most)}")


def top_of(layout: Layout, asked: StripLayout, *, name: str = "") -> Top:
    """Return a top of its strips alone, as wide as will be left of them."""
    return Top(
        name=name,
        length=asked.length_len,
        width=min(asked.width_len, layout.reach_len),
        strips=tuple(
            Strip(label=strip.label, width=strip.width_len, rings=RINGS.get(strip.rings, ""))
            for strip in layout.strips
        ),
        ends_wide=asked.end_wide_len,
        tongue_deep=asked.tongue_deep_len,
        glue=GlueUp(trim=(layout.blank_len - panel_len(asked)) // 2) if layout.count > 1 else None,
    )
