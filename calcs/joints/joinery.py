"""Slots for biscuits, dowels or loose tenons along the joints of an edge-glued top."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from itertools import accumulate

from calcs.joints.joiners import Joiner, joiner
from calcs.joints.recesses import Recess
from calcs.joints.slot_plan import SlotPlan
from calcs.joints.spacing import Met, positions
from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import half_up, up
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches
from calcs.lumber.layout import PRACTICE, strip_label

TWO_ROWS_FROM_LEN = inches("3/2")
WALL_LEN = inches("1/8")
"""Wood that stays between a slot and a face, another row or a recess; common practice, no source."""
LEAST_SPARE = 2


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
    blocked = _blocked(plan, size, at_rows)
    found = positions(
        length=plan.length_len,
        first=(plan.first_len, plan.give_len),
        spacing=(plan.least_len, plan.most_len),
        along=size.along_len,
        conflict=lambda at: _conflict(plan, size, blocked, at),
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


def _blocked(plan: SlotPlan, size: Joiner, at_rows: tuple[int, ...]) -> list[int]:
    """Which recesses, by number, are deep enough to meet the slots and cross a joint."""
    lowest = at_rows[-1] + size.thick_len // 2
    joints = _joint_places(plan)
    return [
        index
        for index, recess in enumerate(plan.recesses)
        if lowest + WALL_LEN > plan.thickness_len - recess.depth_len
        and any(recess.crosses(place, size.depth_len) for place in joints)
    ]


def _conflict(plan: SlotPlan, size: Joiner, blocked: list[int], at: int) -> Met | None:
    """What a slot with its middle ``at`` from the finished end meets, if anything: told when asked."""
    start, end = at - size.along_len // 2, at + size.along_len // 2
    near = min(start, plan.length_len - end)
    if near < 0:
        return partial(_meets, at, "the trim at the end", "first")
    if near < plan.profile_len:
        return partial(_meets, at, "the edge profile of the end", "profile")
    for index in blocked:
        recess = plan.recesses[index]
        begins = recess.from_end_len - WALL_LEN
        if start < begins + recess.along_len + 2 * WALL_LEN and end > begins:
            return partial(_meets, at, f"recess {index + 1}", f"recesses[{index + 1}]", recess)
    return None


def _joint_places(plan: SlotPlan) -> list[int | None]:
    """Where the joints lie from the left finished edge; None where no widths are told."""
    widths = plan.widths_len
    if not widths:
        return [None]
    off = (sum(widths) - plan.width_len) // 2 if plan.width_len is not None else 0
    return [edge - off for edge in accumulate(widths[:-1])]


def _meets(at: int, what: str, field: str, recess: Recess | None = None) -> OutOfRange:
    where = f" ({recess.words})" if recess else ""
    return OutOfRange(
        f"a slot {both_units(at)} from the finished end would cut into {what}{where}",
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
