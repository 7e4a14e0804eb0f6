"""Places of channels and their bolts, and the room that recesses, slots and inserts need.

Notes
-----
Common practice, no source:

=====================================  ========
wood between a recess and the edge     1 in
recess wider than the channel          1/16 in
steel left around a slot               1/4 in
length of the top for each channel     36 in
=====================================  ========
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.joints.recesses import Recess
from calcs.kit.rounding import half_up, up
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches
from calcs.structure.stiffening_inputs import Stiffeners
from calcs.wood.seasonal_movement import SeasonalMovement, Slot, slot

SIDE_ROOM = inches("1/16")
EDGE = inches(1)
"""Wood that stays between a recess and the edge of the top; common practice, no source."""
STEEL_LEFT = inches("1/4")
"""Steel that stays round a slot; common practice, no source."""
SHARE_LEN = inches(36)


@dataclass(frozen=True, kw_only=True)
class ChannelBolt:
    """One bolt.

    Attributes
    ----------
    at_len : int
        Place from the left end of the channel [1/8 µm].
    fixed : bool
        True for the middle one, which has a round hole.
    slot : Slot
        Its slot in the channel.
    """

    at_len: Annotated[int, Figure("From its left end")]
    fixed: Annotated[bool, Figure("Fixed")]
    slot: Slot


def channel_places(top: Stiffeners) -> tuple[int, ...]:
    """Return the middles of the channels from the finished end [1/8 µm].

    Notes
    -----
    Channel n of N lies at length x (2 n + 1) / (2 N): in the middle of its equal share. N is one for each 36
    in begun, two at least.
    """
    count = top.count or max(2, up(Fraction(top.length_len, SHARE_LEN)))
    return tuple(half_up(Fraction(top.length_len * (2 * n + 1), 2 * count)) for n in range(count))


def check_bolts(top: Stiffeners, bolts: Sequence[ChannelBolt]) -> None:
    """Refuse a bolt wider than the channel inside, a slot out of its end, slots that meet.

    Parameters
    ----------
    top : Stiffeners
        Channel and bolts [1/8 µm].
    bolts : sequence of ChannelBolt
        Bolts of one channel, left to right.

    Raises
    ------
    OutOfRange
        Naming the input to change, and the value that would do.
    """
    outer, inside = bolts[0], top.channel_wide_len - 2 * top.channel_wall_len
    if top.bolt_len >= inside:
        raise out_of_range(
            "bolt", both_units(top.bolt_len), f"less than {both_units(inside)}, the channel inside"
        )
    apart = bolts[1].at_len - outer.at_len
    if apart < outer.slot.slot_len + STEEL_LEFT:
        if top.bolts > 3:
            raise out_of_range("bolts", top.bolts, "fewer: their slots would meet")
        raise out_of_range("bolt_end", both_units(top.bolt_end_len), "less: the slots would meet")
    least = outer.slot.slot_len - outer.slot.inner_len + STEEL_LEFT
    if top.bolt_end_len < least:
        raise out_of_range("bolt_end", both_units(top.bolt_end_len), f"at least {both_units(least)}")


def bolts_of(top: Stiffeners, of: SeasonalMovement, channel: int) -> tuple[ChannelBolt, ...]:
    """Return the bolts of a channel: the middle one fixed, the others evenly either side.

    Parameters
    ----------
    top : Stiffeners
        Number of bolts, diameter, play, distance from the end [1/8 µm].
    of : SeasonalMovement
        Movement of the wood over the year.
    channel : int
        Length of the channel [1/8 µm].

    Notes
    -----
    Bolt n of N lies at half + (half - end) (2 n - N + 1) / (N - 1). Its slot is that of
    `calcs.wood.seasonal_movement.slot` at its distance from the middle.
    """
    half = Fraction(channel, 2)
    made = []
    for n in range(top.bolts):
        at = half + (half - top.bolt_end_len) * Fraction(2 * n - top.bolts + 1, top.bolts - 1)
        fixed = 2 * n + 1 == top.bolts
        room = slot(
            of,
            from_fixed_len=half_up(abs(at - half)),
            across_len=top.bolt_len,
            tolerance_len=0 if fixed else top.tolerance_len,
        )
        made.append(ChannelBolt(at_len=half_up(at), fixed=fixed, slot=room))
    return tuple(made)


def recess_of(top: Stiffeners, place: int, across: int, deep: int) -> Recess:
    """Return the recess of one channel as a recess of the top.

    Parameters
    ----------
    top : Stiffeners
        Width of top and channel [1/8 µm].
    place, across, deep : int
        Middle of the channel from the finished end, length across the top, depth [1/8 µm].
    """
    wide = top.channel_wide_len + SIDE_ROOM
    return Recess(
        from_end_len=place - wide // 2,
        along_len=wide,
        depth_len=deep,
        from_edge_len=half_up(Fraction(top.width_len - across, 2)),
        across_len=across,
    )


def check_recesses(top: Stiffeners, channel: int, recess: int, above: int) -> None:
    """Refuse recesses too near the edge or each other, and an insert with too little wood above it.

    Parameters
    ----------
    top : Stiffeners
        Size, channels and inserts [1/8 µm].
    channel, recess, above : int
        Length of the channel and of its recess, wood above the recess [1/8 µm].

    Raises
    ------
    OutOfRange
        Naming the input to change, and the value that would do.
    """
    if recess > top.width_len - 2 * EDGE:
        allowed = f"at most {both_units(top.width_len - 2 * EDGE - (recess - channel))}"
        raise out_of_range("channel", both_units(channel), allowed)
    if len(at := channel_places(top)) * (top.channel_wide_len + SIDE_ROOM + EDGE) > top.length_len:
        raise out_of_range("count", len(at), "fewer: the recesses would meet")
    most = above - top.leave_len
    if top.insert_len > most:
        allowed = (
            f"at most {both_units(most)}: of {both_units(above)} above the recess"
            f" {both_units(top.leave_len)} stays"
            if most > 0
            else "no insert: too little wood above the recess"
        )
        raise out_of_range("insert", both_units(top.insert_len), allowed)
