"""Glue-up of a top: amount of glue, and the stages that open time and machines allow.

A stage is one clamping. All its joints must be closed while the glue is open, and its clamps tight before the
assembly time ends. Sub-assemblies between stages go through planer or jointer.

References
----------
.. [1] Spread, open and closed time: the class or sheet in ``source``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from calcs.asking.figure_wording import format_time
from calcs.curing.curing import GlueTimes, GlueUp, glue_times
from calcs.curing.product_words import caution_sources, cautions
from calcs.gluing.assembly import Assembly, assembly_time
from calcs.gluing.clamping import positions
from calcs.gluing.gluing_inputs import GlueLines
from calcs.gluing.spread import density_g_ml, glue_grams, spread_sources
from calcs.gluing.staging import Clamping, fewest, least_width
from calcs.kit.amounts import format_duration, format_work, whole_minutes
from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import places, up
from calcs.kit.units import UNITS_PER_INCH, UNITS_PER_MM, both_units, inches
from calcs.lumber.layout import strip_label

PRACTICE = "common practice, no source"
RESERVE = Fraction(7, 10)
"""Share of the open time that a dry fit may take; common practice, no source."""
SECOND_PAIR_FROM = inches(96)
ML_PER_FL_OZ = Decimal("29.5735295625")
_FOOT = 12 * UNITS_PER_INCH
_PER_M2 = (1000 * UNITS_PER_MM) ** 2
WIDER = {
    "planer_len": "a wider one is flattened by hand",
    "jointer_len": "a wider one is jointed standing on edge",
}
"""What is done with a sub-assembly that is wider than the machine."""


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

    number: int
    round: int
    joins: tuple[str, ...]
    makes: str
    joints: int
    width_len: int
    assembly_s: int
    whole_s: int
    glue_ml: Decimal


@dataclass(frozen=True, kw_only=True)
class Gluing:
    """Glue, time and stages of a glue-up.

    Attributes
    ----------
    glue_g, glue_ml, glue_fl_oz : Decimal
        Glue of all joints with what is to spare, to 1 g, 1 mL and 0.1 US fl oz.
    open_s, closed_s, allowed_s : int
        Open time and assembly time today, and what the open time allows [s].
    joint_s, clamps_s, all_s : int
        One joint at the pace, tightening all clamps, all joints in one go [s].
    joints_at_once : int
        Joints that one stage may close.
    one_go : bool
        True where one stage is enough.
    stages : tuple of GlueStage
        Stages in working order.
    rounds : int
        Rounds of stages.
    extra_wait_s, extra_one_set_s : int or None
        Waits that the rounds add [s], where clamps serve every stage of a round, and where one set of clamps
        goes from stage to stage. None where the glue has no times.
    warnings, notes, cautions, source : tuple of str
        Sentences for the maker, and the sources.
    """

    glue_g: Decimal
    glue_ml: Decimal
    glue_fl_oz: Decimal
    open_s: int
    closed_s: int
    allowed_s: int
    joint_s: int
    clamps_s: int
    all_s: int
    joints_at_once: int
    one_go: bool
    stages: tuple[GlueStage, ...]
    rounds: int
    extra_wait_s: int | None
    extra_one_set_s: int | None
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    source: tuple[str, ...]


def gluing(top: GlueLines) -> Gluing:
    """Return the glue for all joints, and the fewest stages within open time, closed time and machines.

    Parameters
    ----------
    top : GlueLines
        Strips [1/8 µm], glue, air [°C, %], pace [s] and machines [1/8 µm].

    Returns
    -------
    Gluing
        With a warning for each machine that is too narrow for any such stages: they are wider than it.

    Raises
    ------
    OutOfRange
        Outside the temperatures of the sheet; where not even one joint fits into the open time.

    Notes
    -----
    Glue = area x spread x faces + slots x glue of a slot, and what is to spare.
    Joints of one stage count one by one, so a stage takes its number of joints times the pace. Until the last
    is closed at most 70 % of the open time may pass; until the clamps are tight, the closed time.
    The stages are exact (see `calcs.gluing.staging.fewest`). Pace and reserve are common practice: the shop's
    own dry fit is better.

    References
    ----------
    .. [1] Spread, open and closed time: the class or sheet in ``source``.
    .. [2] Pace, glue in a slot, 70 % of open time: common practice, no source.

    Examples
    --------
    >>> from calcs.materials.product_sheets import glue_classes
    >>> top = GlueLines(strips_len=(inches(6),) * 6, length_len=inches(72), thickness_len=inches("7/4"),
    ...                 glue=glue_classes()["pva"])
    >>> plan = gluing(top)
    >>> plan.joints_at_once, [(stage.joins, stage.makes) for stage in plan.stages][:2]
    (3, [(('A', 'B', 'C', 'D'), 'A-D'), (('A-D', 'E', 'F'), 'A-F')])
    """
    day = assembly_time(top.glue, temp_c=top.temp_c, rh_pct=top.rh_pct)
    joint, clamps = _joint_s(top), len(_clamps(top)) * top.per_clamp_s
    at_once = _at_once(top, day, joint, clamps)
    plan, narrow = _plan(top, at_once)
    grams = _grams(top)
    stages = tuple(_stage(top, n, stage, joint, clamps, grams) for n, stage in enumerate(plan, start=1))
    cure = glue_times(GlueUp(glue=top.glue, temp_c=top.temp_c))
    joints = len(top.strips_len) - 1
    return Gluing(
        glue_g=places(grams, 0),
        glue_ml=_ml(top, grams),
        glue_fl_oz=places(Fraction(_ml(top, grams)) / Fraction(ML_PER_FL_OZ), 1),
        open_s=day.open_s,
        closed_s=day.closed_s,
        allowed_s=int(day.open_s * RESERVE),
        joint_s=up(joint),
        clamps_s=clamps,
        all_s=up(joint * joints),
        joints_at_once=at_once,
        one_go=len(stages) == 1,
        stages=stages,
        rounds=plan[-1].round,
        extra_wait_s=_extra(plan, cure, one_set=False),
        extra_one_set_s=_extra(plan, cure, one_set=True),
        warnings=(*narrow, *_warnings(top)),
        notes=_notes(top, day, stages),
        cautions=cautions(top.glue),
        source=(*_source(top, day, cure), *caution_sources(top.glue)),
    )


def _joint_s(top: GlueLines) -> Fraction:
    """Return the time of one joint [s]: its share of a timed dry fit, else by the pace.

    Notes
    -----
    Pace = setting a joint + faces x time a foot x length in feet.
    """
    if top.dry_fit_s is not None:
        return Fraction(top.dry_fit_s, len(top.strips_len) - 1)
    faces = 2 if top.faces == "both" else 1
    return top.per_joint_s + Fraction(faces * top.per_foot_s * top.length_len, _FOOT)


def _clamps(top: GlueLines) -> tuple[int, ...]:
    """Return the places of the clamps of one stage, 12 in apart at most [1/8 µm]."""
    return positions(top.length_len, end_len=inches(2), most_len=inches(12))


def _at_once(top: GlueLines, day: Assembly, joint: Fraction, clamps: int) -> int:
    """Return the joints that one stage may close, no more than there are.

    Notes
    -----
    The least of 0.7 open time / joint time, (closed time - clamps) / joint time, and all joints.

    Raises
    ------
    OutOfRange
        Where not even one joint fits.
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


def _plan(top: GlueLines, at_once: int) -> tuple[tuple[Clamping, ...], tuple[str, ...]]:
    """Return stages within planer and jointer, else within the wider of them, else by the time alone.

    Also a warning for each machine that is too narrow.
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


def _stage(
    top: GlueLines, number: int, stage: Clamping, joint: Fraction, clamps: int, grams: Fraction
) -> GlueStage:
    """Return one stage with its time [s], width [1/8 µm] and glue [mL]."""
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
        glue_ml=_ml(top, grams * stage.joints / (len(top.strips_len) - 1)),
    )


def _name(span: tuple[int, int]) -> str:
    """Return the name of a piece by the marks of its strips: A, or A-D."""
    first, after = span
    ends = strip_label(first), strip_label(after - 1)
    return ends[0] if after - first == 1 else "-".join(ends)


def _grams(top: GlueLines) -> Fraction:
    """Return the glue of all joints and slots with what is to spare [g]."""
    area = Fraction(top.length_len * top.thickness_len * (len(top.strips_len) - 1), _PER_M2)
    used = glue_grams(top.glue, area_m2=area, faces=top.faces, slots=top.slots, per_slot_ml=top.per_slot_ml)
    return used * (1 + Fraction(top.spare_pct) / 100)


def _ml(top: GlueLines, grams: Fraction) -> Decimal:
    """Return grams of the glue as millilitres, by the density of its class [mL]."""
    return places(grams / density_g_ml(top.glue), 0)


def _extra(plan: Sequence[Clamping], cure: GlueTimes, *, one_set: bool) -> int | None:
    """Return the waits that stages add [s].

    All rounds but the last wait until they may be machined. One set of clamps also waits inside each round.
    """
    if cure.machine_s is None or cure.unclamp_s is None:
        return None
    rounds = plan[-1].round
    inside = len(plan) - rounds if one_set else 0
    return (rounds - 1) * cure.machine_s + inside * cure.unclamp_s


def _warnings(top: GlueLines) -> tuple[str, ...]:
    """Return the warning that a long top wants a second pair of hands."""
    if top.length_len > SECOND_PAIR_FROM and top.people < 2:
        return (f"over {both_units(SECOND_PAIR_FROM)}: a second pair of hands",)
    return ()


def _notes(top: GlueLines, day: Assembly, stages: Sequence[GlueStage]) -> tuple[str, ...]:
    """Return notes on spreading, dry fit, today's open time and the work between rounds."""
    notes = [
        "thick or oily wood wants both faces spread; be generous in the slots",
        f"dry fit, timed, within {int(RESERVE * 100)} % of the open time; all joints close by hand",
    ]
    if day.share < 1:
        notes.append(f"open and closed time {places(day.share * 100, 0)} % of the sheet's: {day.why}")
    if top.dry_fit_s is None:
        notes.append("the pace is common practice: time a dry fit of your own")
    if len(stages) > 1:
        notes.append("between rounds: time to machine, then the edges of each sub-assembly jointed fresh")
    return tuple(notes)


def _source(top: GlueLines, day: Assembly, cure: GlueTimes) -> tuple[str, ...]:
    """Return the sources of spread, times and pace."""
    return (
        *spread_sources(top.glue, top.faces),
        *day.source,
        f"pace, glue in a slot, 70 % of open time, second pair of hands over 8 ft: {PRACTICE}",
        *(text for text in cure.source if text.startswith(("unclamp_s", "machine_s"))),
    )
