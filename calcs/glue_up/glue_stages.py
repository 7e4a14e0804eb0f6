"""Stages of a glue-up: pace, joints that one stage may close, and stages within the machines.

Notes
-----
Common practice, no source; the shop's own timed dry fit replaces the pace:

=================================  =========
share of the open time for use     70 %
clamps                             12 in apart
hands that share the work          2 pairs
=================================  =========
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.figure_wording import format_time
from calcs.asking.figures import Figure
from calcs.glue_up.assembly import Assembly
from calcs.glue_up.clamping import positions
from calcs.glue_up.gluing_inputs import GlueLines
from calcs.glue_up.spread import density_g_ml, glue_grams
from calcs.glue_up.staging import Clamping, fewest, least_width
from calcs.kit.amounts import format_duration, format_work, whole_minutes
from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import places, up
from calcs.kit.units import UNITS_PER_INCH, UNITS_PER_MM, both_units, inches
from calcs.lumber.layout import strip_label
from calcs.tables import PRACTICE

RESERVE = Fraction(7, 10)
"""Share of the open time that a dry fit may take; common practice, no source."""
MOST_HANDS = 2
"""People who share spreading and tightening, one from either end; more are in each other's way."""
_FOOT = 12 * UNITS_PER_INCH
_PER_M2 = (1000 * UNITS_PER_MM) ** 2
WIDER = {
    "planer_len": "a wider one is flattened by hand",
    "jointer_len": "a wider one is jointed standing on edge",
}
"""Work on a sub-assembly that is wider than the machine."""


@dataclass(frozen=True, kw_only=True)
class GlueStage:
    """One clamping.

    Attributes
    ----------
    number, round : int
        Place in the working order; stages of one round do not wait for each other.
    joins, makes : tuple of str, str
        Pieces it joins, and the piece it makes.
    joints : int
        Joints it closes.
    width_len : int
        Width of what it makes [1/8 µm].
    assembly_s, whole_s : int
        Time until the last joint is closed, and until the clamps are tight [s].
    glue_ml : Decimal
        Glue, to 1 [mL].
    """

    number: Annotated[int, Figure("No.")]
    round: Annotated[int, Figure("Round", hidden=True)]
    joins: Annotated[tuple[str, ...], Figure("Joins")]
    makes: Annotated[str, Figure("Makes")]
    joints: Annotated[int, Figure("Joints", hidden=True)]
    width_len: Annotated[int, Figure("Width", hidden=True)]
    assembly_s: Annotated[int, Figure("Closed within")]
    whole_s: Annotated[int, Figure("Clamped within")]
    glue_ml: Annotated[Decimal, Figure("Glue")]


def joint_s(top: GlueLines) -> Fraction:
    """Return the time of one joint [s]: its share of a timed dry fit, else by the pace.

    Parameters
    ----------
    top : GlueLines
        Pace [s], length of the joints [1/8 µm] and faces spread.

    Notes
    -----
    Pace = setting a joint + faces x time a foot x length in feet / hands. Two people spread from either end.
    """
    if top.dry_fit_s is not None:
        return Fraction(top.dry_fit_s, len(top.strips_len) - 1)
    faces = 2 if top.faces == "both" else 1
    return top.per_joint_s + Fraction(faces * top.per_foot_s * top.length_len, _FOOT * hands(top))


def hands(top: GlueLines) -> int:
    """Return the people who share spreading and tightening: two at most."""
    return min(top.people, MOST_HANDS)


def clamps_s(top: GlueLines) -> int:
    """Return the time to tighten all clamps of one stage [s]; two people begin at either end."""
    return up(Fraction(len(clamp_places(top)) * top.per_clamp_s, hands(top)))


def clamp_places(top: GlueLines) -> tuple[int, ...]:
    """Return the places of the clamps of one stage, 12 in apart at most [1/8 µm]."""
    return positions(top.length_len, end_len=inches(2), most_len=inches(12))


def joints_at_once(top: GlueLines, day: Assembly, joint: Fraction, clamps: int) -> int:
    """Return the joints that one stage may close, no more than there are.

    Parameters
    ----------
    top : GlueLines
        Strips and glue.
    day : Assembly
        Open and closed time today [s].
    joint : Fraction
        Time of one joint [s].
    clamps : int
        Time to tighten all clamps [s].

    Raises
    ------
    OutOfRange
        Where not even one joint fits.

    Notes
    -----
    The least of 0.7 open time / joint time, (closed time - clamps) / joint time, and all joints.
    """
    by_open = day.open_s * RESERVE / joint
    by_closed = (day.closed_s - clamps) / joint
    fits = int(min(by_open, by_closed, Fraction(len(top.strips_len) - 1)))
    if fits >= 1:
        return fits
    what, needs = ("an open", up(joint / RESERVE)) if by_open < 1 else ("a closed", up(joint + clamps))
    said = f"{what} time of {format_duration(whole_minutes(needs))} today"
    raise OutOfRange(
        f"glue {top.glue.key}: one joint takes {format_work(up(joint))}, and today it stays open"
        f" {format_time('open_s', day.open_s)}, {format_time('closed_s', day.closed_s)} with clamping;"
        f" wanted: {said}, or a faster pace",
        field="glue",
        value=top.glue.key,
        allowed=f"{said}, or a faster pace",
    )


def plan_within_machines(top: GlueLines, at_once: int) -> tuple[tuple[Clamping, ...], tuple[str, ...]]:
    """Return stages within planer and jointer, else within the wider of them, else by the time alone.

    Parameters
    ----------
    top : GlueLines
        Strips, and widths of the machines [1/8 µm].
    at_once : int
        Joints that one stage may close.

    Returns
    -------
    tuple of (tuple of Clamping, tuple of str)
        Stages, and a warning for each machine that is too narrow for them.
    """
    narrow: list[str] = []
    machines = [name for name in WIDER if getattr(top, name) is not None]
    for name in sorted(machines, key=lambda name: getattr(top, name)):
        plan = fewest(top.strips_len, at_once=at_once, widest_len=getattr(top, name))
        if plan:
            return plan, tuple(narrow)
        narrow.append(_too_narrow(top, name, at_once))
    plan = fewest(top.strips_len, at_once=at_once, widest_len=None)
    assert plan is not None
    return plan, tuple(narrow)


def _too_narrow(top: GlueLines, name: str, at_once: int) -> str:
    """Return the warning that a machine is too narrow, with the width that would do."""
    least = both_units(least_width(top.strips_len, at_once=at_once))
    joints = f"{at_once} joint{'s' if at_once > 1 else ''} at once"
    return (
        f"{name.removesuffix('_len')} {both_units(getattr(top, name))} is too narrow for the sub-assemblies,"
        f" {joints}: at least {least}, or a glue that stays open for more; {WIDER[name]} ({PRACTICE})"
    )


def stage_of(
    top: GlueLines, number: int, stage: Clamping, joint: Fraction, clamps: int, grams: Fraction
) -> GlueStage:
    """Return one stage with its time [s], width [1/8 µm] and glue [mL].

    Parameters
    ----------
    top : GlueLines
        Strips and glue.
    number : int
        Place in the working order.
    stage : Clamping
        Pieces it joins.
    joint, clamps : Fraction, int
        Time of one joint, and of tightening the clamps [s].
    grams : Fraction
        Glue of the whole top [g]; the stage takes the share of its joints.
    """
    first, after = stage.span
    return GlueStage(
        number=number,
        round=stage.round,
        joins=tuple(_name(part) for part in stage.parts),
        makes=_name(stage.span),
        joints=stage.joints,
        width_len=sum(top.strips_len[first:after]),
        assembly_s=up(joint * stage.joints),
        whole_s=up(joint * stage.joints) + clamps,
        glue_ml=millilitres(top, grams * stage.joints / (len(top.strips_len) - 1)),
    )


def _name(span: tuple[int, int]) -> str:
    """Return the name of a piece by the marks of its strips: A, or A-D."""
    first, after = span
    ends = strip_label(first), strip_label(after - 1)
    return ends[0] if after - first == 1 else "-".join(ends)


def grams_of(top: GlueLines) -> Fraction:
    """Return the glue of all joints and slots with what is to spare [g].

    Notes
    -----
    Area of the joints = length x thickness x (strips - 1). The amount is that of
    `calcs.glue_up.spread.glue_grams`.
    """
    area = Fraction(top.length_len * top.thickness_len * (len(top.strips_len) - 1), _PER_M2)
    used = glue_grams(top.glue, area_m2=area, faces=top.faces, slots=top.slots, per_slot_ml=top.per_slot_ml)
    return used * (1 + Fraction(top.spare_pct) / 100)


def millilitres(top: GlueLines, grams: Fraction) -> Decimal:
    """Return grams of the glue as millilitres, by the density of its class [mL]."""
    return places(grams / density_g_ml(top.glue), 0)
