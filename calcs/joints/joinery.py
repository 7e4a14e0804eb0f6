"""Slots for biscuits, dowels or loose tenons along the joints of an edge-glued top.

All joints have slots at the same places, evenly spaced and symmetrical to the middle. Places, rows and spare
follow common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.joints.joiners import joiner
from calcs.joints.slot_clearance import (
    TWO_ROWS_FROM_LEN,
    blocking_recesses,
    check_widths,
    conflict_at,
    rows_of,
)
from calcs.joints.slot_plan import SlotPlan
from calcs.joints.spacing import positions
from calcs.kit.rounding import half_up, up
from calcs.lumber.layout import strip_label
from calcs.tables import PRACTICE

LEAST_SPARE = 2


@dataclass(frozen=True, kw_only=True)
class Edged:
    """One strip and its edges with slots.

    Attributes
    ----------
    label : str
        Mark of the strip.
    edges : str
        "left", "right" or "both", show face up.
    slots : int
        Slots to cut in it.
    """

    label: Annotated[str, Figure("Strip")]
    edges: Annotated[str, Figure("Edges")]
    slots: Annotated[int, Figure("Slots")]


@dataclass(frozen=True, kw_only=True)
class Joinery:
    """Slots of every joint; lengths in 1/8 µm.

    Attributes
    ----------
    joiner : str
        Name of the joiner.
    joints : int
        Number of joints.
    positions_len, rows_len : tuple of int
        Middles of the slots from the finished end; their rows from the show face.
    first_len, spacing_len : int, int or None
        First slot from the finished end, and distance between slots; None for one slot.
    depth_len, slot_len : int
        Depth cut into each strip, and length of the slot at its edge.
    along_len, into_len, thick_len : int
        Size of the joiner.
    length_len, thickness_len : int
        Size of the top.
    edges : tuple of Edged
        Every strip.
    slots, pieces, buy : int
        Slots to cut, joiners needed, joiners with the spare.
    notes, source : tuple of str
        Notes and sources.
    """

    joiner: Annotated[str, Figure("Joiner")]
    joints: Annotated[int, Figure("Joints")]
    positions_len: Annotated[tuple[int, ...], Figure("Middles from the finished end")]
    first_len: Annotated[int, Figure("First from the finished end")]
    spacing_len: Annotated[int | None, Figure("Spacing")]
    rows_len: Annotated[tuple[int, ...], Figure("From the show face")]
    depth_len: Annotated[int, Figure("Depth of a slot")]
    slot_len: Annotated[int, Figure("Length of a slot at the edge")]
    along_len: Annotated[int, Figure("Joiner along the joint")]
    into_len: Annotated[int, Figure("Into both strips")]
    thick_len: Annotated[int, Figure("Thickness of the joiner")]
    length_len: Annotated[int, Figure("Length")]
    thickness_len: Annotated[int, Figure("Thickness")]
    edges: Annotated[tuple[Edged, ...], Figure("Slots by strip")]
    slots: Annotated[int, Figure("Slots to cut")]
    pieces: Annotated[int, Figure("Needed")]
    buy: Annotated[int, Figure("To buy, with spares")]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def slots(plan: SlotPlan) -> Joinery:
    """Return the places of the slots, their edges and depth, and the joiners to buy.

    Parameters
    ----------
    plan : SlotPlan
        Size, joints, joiner, spacing and recesses [1/8 µm].

    Returns
    -------
    Joinery

    Raises
    ------
    OutOfRange
        If a slot would lie in the trim, the edge profile or a recess, or too little wood would stay round it.
        The message names the slot and what it meets.

    Notes
    -----
    Slots are evenly spaced and symmetrical to the middle. Of the ways that keep the range and meet nothing
    the one is taken whose first slot is nearest to where it is wanted, then the one with fewest slots. A top
    too short for the range gets them closer, never wider. Spare is the percentage of the pieces, two at
    least.

    Examples
    --------
    Of 60 in, 52 lie between the first and the last slot: five gaps of 10.4 in, six slots, 24 pieces and 3 to
    spare.

    >>> from calcs.kit.units import both_units, inches
    >>> found = slots(SlotPlan(length_len=inches(60), thickness_len=inches("7/4"), joints=4))
    >>> [both_units(at) for at in found.positions_len[:2]], found.buy
    (['4" (101.6 mm)', '≈ 14 13/32" (≈ 365.8 mm)'], 27)
    """
    size = joiner(plan.joiner)
    at_rows = rows_of(plan, size)
    check_widths(plan, size)
    blocked = blocking_recesses(plan, size, at_rows)
    found = positions(
        length=plan.length_len,
        first=(plan.first_len, plan.give_len),
        spacing=(plan.least_len, plan.most_len),
        along=size.slot_len,
        conflict=lambda at: conflict_at(plan, size, blocked, at),
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
        slot_len=size.slot_len,
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
    """Return the number of joints: as given, else one less than the strips."""
    return plan.joints if plan.joints is not None else len(plan.widths_len or ()) - 1


def _edges(joints: int, per_joint: int) -> tuple[Edged, ...]:
    """Return the strips with their slots: outer ones on one edge, the others on both."""
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
    """Return notes on registering, on rows, and on edges that were not checked."""
    notes = ["register every slot from the show face; ends still have their extra length when they are cut"]
    if plan.strong and len(at_rows) == 1:
        notes.append('one row: two need 1 1/2" of thickness')
    if not plan.strong and plan.thickness_len >= TWO_ROWS_FROM_LEN:
        notes.append("choose two rows for strength: it is thick enough")
    if plan.widths_len is None:
        notes.append("enter the strip widths to check the edges against trim and profile")
    return tuple(notes)
