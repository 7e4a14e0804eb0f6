"""Slots for biscuits, dowels or loose tenons along the joints of an edge-glued top."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.errors import OutOfRange
from calcs.inputs import Rows, check
from calcs.joiners import NAMES, Joiner, joiner
from calcs.kinds import Choice, Length, Many, Percent, Whole, Yes
from calcs.layout import MOST_STRIPS, PRACTICE, Layout, StripLayout, strip_label
from calcs.recesses import Recess
from calcs.rounding import half_up, up
from calcs.spacing import positions
from calcs.typed import out_of_range
from calcs.units import both_units, inches

TWO_ROWS_FROM_LEN = inches("3/2")
WALL_LEN = inches("1/8")
"""Wood that stays between a slot and a face, another row or a recess; common practice, no source."""
LEAST_SPARE = 2


@dataclass(frozen=True, kw_only=True)
class SlotPlan:
    """What the slots are worked out from; ``joints`` or ``widths_len``, one of the two.

    Parameters
    ----------
    length_len, thickness_len : int
        Finished length; thickness when the slots are cut, measured from the show face [1/8 µm].
    joints : int, optional
        Number of joints.
    widths_len : tuple of int, optional
        Widths of the strips, left to right [1/8 µm]; then the edges are checked too.
    width_len : int, optional
        Finished width [1/8 µm]; what the strips are wider comes off both edges alike.
    joiner : str
        Name in ``calcs/tables/joiners.csv``.
    first_len, give_len : int
        Middle of the first slot from the finished end, and how far it may move from there for even spacing
        [1/8 µm]; 4 in and 1 in.
    least_len, most_len : int
        Spacing [1/8 µm]; 10 to 12 in.
    strong : bool
        Two rows wanted, cut from 1 1/2 in thickness on.
    profile_len : int
        How far an edge profile reaches in from the finished edges and ends [1/8 µm].
    recesses : tuple of Recess
        Recesses in the underside.
    spare_pct : Decimal
        Bought over the need [%], at least two pieces; 10 unless told.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    length_len: Annotated[int, Length("finished length", inches(1), inches(480))]
    thickness_len: Annotated[int, Length("thickness when the slots are cut", inches("3/8"), inches(12))]
    joints: Annotated[int | None, Whole("number of joints", 1, MOST_STRIPS - 1)] = None
    widths_len: (
        Annotated[
            tuple[int, ...],
            Many("widths of the strips", Length("width", inches("1/2"), inches(60)), 2, MOST_STRIPS),
        ]
        | None
    ) = None
    width_len: Annotated[int | None, Length("finished width", inches(1), inches(240))] = None
    joiner: Annotated[str, Choice("joiner", NAMES)] = "biscuit 20"
    first_len: Annotated[int, Length("first slot from the finished end", inches(1), inches(24))] = inches(4)
    give_len: Annotated[int, Length("how far the first slot may move", 0, inches(6))] = inches(1)
    least_len: Annotated[int, Length("least spacing", inches(2), inches(24))] = inches(10)
    most_len: Annotated[int, Length("largest spacing", inches(2), inches(24))] = inches(12)
    strong: Annotated[bool, Yes("two rows wanted")] = False
    profile_len: Annotated[int, Length("reach of the edge profile", 0, inches(12))] = 0
    recesses: Annotated[tuple[Recess, ...], Rows("recesses in the underside", of=Recess, most=50)] = ()
    spare_pct: Annotated[Decimal, Percent("spare", "0", "100")] = Decimal(10)

    def __post_init__(self) -> None:
        check(self)
        if (self.joints is None) == (self.widths_len is None):
            raise OutOfRange(
                "joints or widths is needed, and only one of them",
                field="joints",
                value=self.joints,
                allowed="the number of joints, or the widths of the strips",
            )
        if self.least_len > self.most_len:
            raise out_of_range("least", both_units(self.least_len), f"at most {both_units(self.most_len)}")
        if self.width_len is not None and self.widths_len and sum(self.widths_len) < self.width_len:
            raise out_of_range(
                "width", both_units(self.width_len), f"at most {both_units(sum(self.widths_len))}"
            )
        for index, recess in enumerate(self.recesses, start=1):
            recess.check_inside(self.length_len, self.width_len, self.thickness_len, f"recesses[{index}]")


@dataclass(frozen=True, kw_only=True)
class Edged:
    """A strip and the edges that get slots: "left", "right" or "both", show face up; slots to cut in it."""

    label: str
    edges: str
    slots: int


@dataclass(frozen=True, kw_only=True)
class Joinery:
    """Slots of every joint; lengths [1/8 µm].

    ``positions_len`` are the middles of the slots from the finished end, ``rows_len`` from the show face.
    ``depth_len`` is what is cut into each strip. ``pieces`` are needed, ``buy`` has the spare in it.
    """

    joiner: str
    joints: int
    positions_len: tuple[int, ...]
    first_len: int
    spacing_len: int | None
    rows_len: tuple[int, ...]
    depth_len: int
    along_len: int
    into_len: int
    thick_len: int
    length_len: int
    thickness_len: int
    edges: tuple[Edged, ...]
    slots: int
    pieces: int
    buy: int
    notes: tuple[str, ...]
    source: tuple[str, ...]


def plan_for(layout: Layout, asked: StripLayout, *, thickness_len: int, joiner: str) -> SlotPlan:
    """The plan of a layout's joints with the usual spacing."""
    return SlotPlan(
        length_len=asked.length_len,
        thickness_len=thickness_len,
        widths_len=tuple(strip.width_len for strip in layout.strips),
        width_len=asked.width_len if layout.reach_len >= asked.width_len else None,
        joiner=joiner,
    )


def slots(plan: SlotPlan) -> Joinery:
    """Where the slots go, in which edges, how deep, and how many joiners to buy.

    Returns
    -------
    Joinery

    Raises
    ------
    OutOfRange
        If a slot would lie in the trim, the edge profile or a recess, or too little wood would stay round it:
        the message names the slot and what it meets.

    Notes
    -----
    All joints have slots at the same places, evenly spaced, symmetrical to the middle. Of the ways that keep
    the range and meet nothing the one is taken whose first slot is nearest to where it is wanted, then the
    one with fewest slots. A top too short for the range gets them closer, never wider.

    Examples
    --------
    >>> found = slots(SlotPlan(length_len=inches(60), thickness_len=inches("7/4"), joints=4))
    >>> [both_units(at) for at in found.positions_len[:2]], found.buy
    (['4" (101.6 mm)', '≈ 14 13/32" (≈ 365.8 mm)'], 27)
    """
    size = joiner(plan.joiner)
    at_rows = _rows(plan, size)
    _check_widths(plan, size)
    found = positions(
        length=plan.length_len,
        first=(plan.first_len, plan.give_len),
        spacing=(plan.least_len, plan.most_len),
        along=size.along_len,
        conflict=lambda at: _conflict(plan, size, at_rows, at),
    )
    joints = _joints(plan)
    per_joint = len(found.at) * len(at_rows)
    pieces = joints * per_joint
    spare = max(LEAST_SPARE, up(pieces * Fraction(plan.spare_pct) / 100))
    return Joinery(
        joiner=plan.joiner,
        joints=joints,
        positions_len=found.at,
        first_len=found.at[0],
        spacing_len=None if found.spacing is None else half_up(found.spacing),
        rows_len=at_rows,
        depth_len=size.depth_len,
        along_len=size.along_len,
        into_len=size.into_len,
        thick_len=size.thick_len,
        length_len=plan.length_len,
        thickness_len=plan.thickness_len,
        edges=_edges(joints, per_joint),
        slots=2 * pieces,
        pieces=pieces,
        buy=pieces + spare,
        notes=(*_notes(plan, at_rows), *found.notes),
        source=(
            f"places, rows and spare: {PRACTICE}",
            f"size of the joiner: {size.source}",
        ),
    )


def _joints(plan: SlotPlan) -> int:
    return plan.joints if plan.joints is not None else len(plan.widths_len or ()) - 1


def _rows(plan: SlotPlan, size: Joiner) -> tuple[int, ...]:
    thick = plan.thickness_len
    two = plan.strong and thick >= TWO_ROWS_FROM_LEN
    at_rows = (thick // 3, thick - thick // 3) if two else (thick // 2,)
    wall = at_rows[0] - size.thick_len // 2
    between = at_rows[-1] - at_rows[0] - size.thick_len if two else wall
    if min(wall, between) < WALL_LEN:
        least = 3 * (size.thick_len + WALL_LEN) if two else size.thick_len + 2 * WALL_LEN
        allowed = f"at least {both_units(least)} for {plan.joiner}" + (" in two rows" if two else "")
        raise out_of_range("thickness", both_units(thick), allowed)
    return at_rows


def _check_widths(plan: SlotPlan, size: Joiner) -> None:
    """Refuse strips too narrow for their slots, and outer ones that trim or profile come near."""
    widths = plan.widths_len
    if not widths:
        return
    both = 2 * size.depth_len + WALL_LEN
    for index, width in enumerate(widths[1:-1], start=2):
        if width < both:
            allowed = f"at least {both_units(both)} between slots from both edges"
            raise out_of_range(f"widths[{index}]", both_units(width), allowed)
    off = (sum(widths) - plan.width_len) // 2 if plan.width_len is not None else 0
    for index in (1, len(widths)):
        left = widths[index - 1] - off - size.depth_len
        if left < plan.profile_len or left < WALL_LEN:
            met = "trim" if left < WALL_LEN else "edge profile"
            least = off + size.depth_len + max(plan.profile_len, WALL_LEN)
            raise OutOfRange(
                f"strip {strip_label(index - 1)} of {both_units(widths[index - 1])}: its slots would come"
                f" into the {met}; at least {both_units(least)}",
                field=f"widths[{index}]",
                value=both_units(widths[index - 1]),
                allowed=f"at least {both_units(least)}: {met}",
            )


def _conflict(plan: SlotPlan, size: Joiner, at_rows: tuple[int, ...], at: int) -> OutOfRange | None:
    """What a slot with its middle ``at`` from the finished end meets, if anything."""
    start, end = at - size.along_len // 2, at + size.along_len // 2
    near = min(start, plan.length_len - end)
    if near < 0:
        return _meets(at, "the trim at the end", "first")
    if near < plan.profile_len:
        return _meets(at, f"the edge profile, {both_units(plan.profile_len)} from the end", "profile")
    lowest = at_rows[-1] + size.thick_len // 2
    for index, recess in enumerate(plan.recesses, start=1):
        over = start - WALL_LEN < recess.from_end_len + recess.along_len and (
            end + WALL_LEN > recess.from_end_len
        )
        deep = lowest + WALL_LEN > plan.thickness_len - recess.depth_len
        if over and deep and any(recess.crosses(x, size.depth_len) for x in _joint_places(plan)):
            return _meets(at, f"recess {index} ({recess.words})", f"recesses[{index}]")
    return None


def _joint_places(plan: SlotPlan) -> list[int | None]:
    """Where the joints lie from the left finished edge; None where no widths are told."""
    widths = plan.widths_len
    if not widths:
        return [None]
    off = (sum(widths) - plan.width_len) // 2 if plan.width_len is not None else 0
    return [sum(widths[:index]) - off for index in range(1, len(widths))]


def _meets(at: int, what: str, field: str) -> OutOfRange:
    return OutOfRange(
        f"a slot {both_units(at)} from the finished end would cut into {what}",
        field=field,
        value=both_units(at),
        allowed=f"clear of {what}; change the first slot, the spacing or the joiner",
    )


def _edges(joints: int, per_joint: int) -> tuple[Edged, ...]:
    last = joints
    return tuple(
        Edged(
            label=strip_label(index),
            edges="right" if index == 0 else "left" if index == last else "both",
            slots=per_joint * (1 if index in (0, last) else 2),
        )
        for index in range(joints + 1)
    )


def _notes(plan: SlotPlan, at_rows: tuple[int, ...]) -> tuple[str, ...]:
    notes = ["register every slot from the show face; ends still have their extra length when they are cut"]
    if plan.strong and len(at_rows) == 1:
        notes.append('one row: two only from 1 1/2" thickness')
    if not plan.strong and plan.thickness_len >= TWO_ROWS_FROM_LEN:
        notes.append("thick enough for two rows where strength is wanted")
    if plan.widths_len is None:
        notes.append("edges were not checked against trim and profile: no strip widths told")
    return tuple(notes)
