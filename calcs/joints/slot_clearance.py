"""Wood that must stay around a slot: faces, edges, ends and recesses.

Notes
-----
Common practice, no source: 1/8 in stays between a slot and a face, another row, the trim or a recess; two
rows from 1 1/2 in of thickness on.
"""

from __future__ import annotations

from functools import partial
from itertools import accumulate

from calcs.joints.joiners import Joiner
from calcs.joints.recesses import Recess
from calcs.joints.slot_plan import SlotPlan
from calcs.joints.spacing import Met
from calcs.kit.errors import OutOfRange
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches
from calcs.lumber.layout import strip_label

TWO_ROWS_FROM_LEN = inches("3/2")
WALL_LEN = inches("1/8")
"""Wood that stays between a slot and a face, another row, a recess or an end that would break out; common
practice, no source."""
WALL = both_units(WALL_LEN)


def rows_of(plan: SlotPlan, size: Joiner) -> tuple[int, ...]:
    """Return the rows of slots from the show face [1/8 µm].

    Parameters
    ----------
    plan : SlotPlan
        Thickness [1/8 µm], and whether two rows are wanted.
    size : Joiner
        Joiner with its thickness [1/8 µm].

    Raises
    ------
    OutOfRange
        If less than 1/8 in of wood would stay beside a row.

    Notes
    -----
    One row in the middle, or two at the thirds of the thickness.
    """
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


def check_widths(plan: SlotPlan, size: Joiner) -> None:
    """Refuse strips too narrow for their slots, and outer ones that trim or profile come near.

    Parameters
    ----------
    plan : SlotPlan
        Widths of the strips, finished width, reach of the profile [1/8 µm]; without widths nothing is
        checked.
    size : Joiner
        Joiner with the depth of its slot [1/8 µm].

    Raises
    ------
    OutOfRange
        Naming the strip, and the width that would do.

    Notes
    -----
    An inner strip holds slots from both edges: 2 depth + 1/8 in. An outer one loses half the excess width at
    its edge.
    """
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


def blocking_recesses(plan: SlotPlan, size: Joiner, at_rows: tuple[int, ...]) -> list[int]:
    """Return the recesses, by number, that are deep enough to meet the slots and cross a joint.

    Parameters
    ----------
    plan : SlotPlan
        Recesses in the underside, and the joints.
    size : Joiner
        Joiner with its thickness and depth [1/8 µm].
    at_rows : tuple of int
        Rows from the show face [1/8 µm].

    Notes
    -----
    A recess meets the slots where lowest row + half the joiner + 1/8 in > thickness - depth.
    """
    lowest = at_rows[-1] + size.thick_len // 2
    joints = _joint_places(plan)
    return [
        index
        for index, recess in enumerate(plan.recesses)
        if lowest + WALL_LEN > plan.thickness_len - recess.depth_len
        and any(recess.crosses(place, size.depth_len) for place in joints)
    ]


def conflict_at(plan: SlotPlan, size: Joiner, blocked: list[int], at: int) -> Met | None:
    """Return what a slot with its middle ``at`` from the finished end meets; None for nothing.

    Parameters
    ----------
    plan : SlotPlan
        Length, profile and recesses [1/8 µm].
    size : Joiner
        Joiner with the length of its slot at the edge [1/8 µm].
    blocked : list of int
        Recesses that the slots can meet, by number.
    at : int
        Middle of the slot [1/8 µm].

    Returns
    -------
    callable or None
        Makes the refusal, so that it is worded only where it is raised.
    """
    start, end = at - size.slot_len // 2, at + size.slot_len // 2
    near = min(start, plan.length_len - end)
    if near < WALL_LEN:
        return partial(
            _meets, at, "the trim at the end" if near < 0 else f"the last {WALL} before the end", "first"
        )
    if near < plan.profile_len:
        return partial(_meets, at, "the edge profile of the end", "profile")
    for index in blocked:
        recess = plan.recesses[index]
        begins = recess.from_end_len - WALL_LEN
        if start < begins + recess.along_len + 2 * WALL_LEN and end > begins:
            return partial(_meets, at, f"recess {index + 1}", f"recesses[{index + 1}]", recess)
    return None


def _joint_places(plan: SlotPlan) -> list[int | None]:
    """Return the places of the joints from the left finished edge [1/8 µm]; None without widths."""
    widths = plan.widths_len
    if not widths:
        return [None]
    off = (sum(widths) - plan.width_len) // 2 if plan.width_len is not None else 0
    return [edge - off for edge in accumulate(widths[:-1])]


def _meets(at: int, what: str, field: str, recess: Recess | None = None) -> OutOfRange:
    """Return the refusal of a slot that would cut into something."""
    where = f" ({recess.words})" if recess else ""
    return OutOfRange(
        f"a slot {both_units(at)} from the finished end would cut into {what}{where}",
        field=field,
        value=both_units(at),
        allowed=f"clear of {what}; change the first slot, the spacing or the joiner",
    )
