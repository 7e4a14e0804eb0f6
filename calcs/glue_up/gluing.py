"""Glue-up of a top: amount of glue, and the stages that open time and machines allow.

A stage is one clamping. All its joints must be closed while the glue is open, and its clamps tight before the
assembly time ends. Sub-assemblies between stages go through planer or jointer.

References
----------
.. [1] Spread, open and closed time: the class or sheet in ``source``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.curing.curing import GlueTimes, GlueUp, glue_times
from calcs.curing.product_words import caution_sources, cautions
from calcs.glue_up.assembly import Assembly, assembly_time
from calcs.glue_up.glue_stages import (
    RESERVE,
    GlueStage,
    clamps_s,
    grams_of,
    joint_s,
    joints_at_once,
    millilitres,
    plan_within_machines,
    stage_of,
)
from calcs.glue_up.gluing_inputs import GlueLines
from calcs.glue_up.remedies import Remedy, remedies
from calcs.glue_up.spread import spread_sources
from calcs.glue_up.staging import Clamping
from calcs.kit.rounding import places, up
from calcs.kit.units import both_units, inches
from calcs.materials.product_sheets import Glue, glue_classes
from calcs.tables import PRACTICE

SECOND_PAIR_FROM = inches(96)
ML_PER_FL_OZ = Decimal("29.5735295625")


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
    extra_wait_s : int or None
        Waits that the rounds add where clamps serve every stage of a round [s]; None where the glue has no
        times.
    extra_one_set_s : int or None
        The same where one set of clamps goes from stage to stage [s].
    remedies : tuple of Remedy
        Changes that would save a clamping, each with its effect.
    warnings, notes, cautions, source : tuple of str
        Sentences for the maker, and the sources.
    """

    glue_g: Annotated[Decimal, Figure("Glue", hidden=True)]
    glue_ml: Annotated[Decimal, Figure("Glue")]
    glue_fl_oz: Annotated[Decimal, Figure("Glue", hidden=True)]
    open_s: Annotated[int, Figure("Open time today")]
    closed_s: Annotated[int, Figure("Closed time today")]
    allowed_s: Annotated[int, Figure("Allowed until the last joint is closed")]
    joint_s: Annotated[int, Figure("One joint")]
    clamps_s: Annotated[int, Figure("Tightening the clamps")]
    all_s: Annotated[int, Figure("All joints in one go")]
    joints_at_once: Annotated[int, Figure("Joints in one clamping, at most")]
    one_go: Annotated[bool, Figure("In one go")]
    stages: Annotated[tuple[GlueStage, ...], Figure("Clampings in order")]
    rounds: Annotated[int, Figure("Rounds")]
    extra_wait_s: Annotated[int | None, Figure("Added waits, with clamps for all")]
    extra_one_set_s: Annotated[int | None, Figure("Added waits, with one set of clamps")]
    remedies: Annotated[tuple[Remedy, ...], Figure("Changes that save a clamping")]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    source: tuple[str, ...]


def gluing(top: GlueLines, glues: Iterable[Glue] | None = None) -> Gluing:
    """Return the glue for all joints, and the fewest stages within open time, closed time and machines.

    Parameters
    ----------
    top : GlueLines
        Strips [1/8 µm], glue, air [°C, %], pace [s] and machines [1/8 µm].
    glues : iterable of Glue, optional
        Glues that could be taken instead; the generic classes where none are given.

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
    The stages are exact (see `calcs.glue_up.staging.fewest`). Pace and reserve are common practice.
    The shop's own dry fit is better.

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
    joint, clamps = joint_s(top), clamps_s(top)
    at_once = joints_at_once(top, day, joint, clamps)
    plan, narrow = plan_within_machines(top, at_once)
    grams = grams_of(top)
    stages = tuple(stage_of(top, n, stage, joint, clamps, grams) for n, stage in enumerate(plan, start=1))
    cure = glue_times(GlueUp(glue=top.glue, temp_c=top.temp_c))
    joints = len(top.strips_len) - 1
    return Gluing(
        glue_g=places(grams, 0),
        glue_ml=millilitres(top, grams),
        glue_fl_oz=places(Fraction(millilitres(top, grams)) / Fraction(ML_PER_FL_OZ), 1),
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
        remedies=remedies(top, glue_classes().values() if glues is None else glues),
        warnings=(*narrow, *_warnings(top)),
        notes=_notes(top, day, stages),
        cautions=cautions(top.glue),
        source=(*_source(top, day, cure), *caution_sources(top.glue)),
    )


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
        return (f"over {both_units(SECOND_PAIR_FROM)}: have a second pair of hands",)
    return ()


def _notes(top: GlueLines, day: Assembly, stages: Sequence[GlueStage]) -> tuple[str, ...]:
    """Return notes on spreading, dry fit, today's open time and the work between rounds."""
    notes = [
        "spread both faces of thick or oily wood; be generous in the slots",
        f"dry fit, timed, within {int(RESERVE * 100)} % of the open time; all joints close by hand",
    ]
    if day.share < 1:
        notes.append(f"open and closed time {places(day.share * 100, 0)} % of the sheet's: {day.why}")
    if top.dry_fit_s is None:
        notes.append("the pace is common practice: time your own dry fit")
    if len(stages) > 1:
        notes.append(
            "between rounds: wait for the time to machine, then joint the edges of each sub-assembly"
        )
    return tuple(notes)


def _source(top: GlueLines, day: Assembly, cure: GlueTimes) -> tuple[str, ...]:
    """Return the sources of spread, times and pace."""
    return (
        *spread_sources(top.glue, top.faces),
        *day.source,
        f"pace, glue in a slot, 70 % of open time, second pair of hands over 8 ft,"
        f" two share spreading and tightening: {PRACTICE}",
        *(text for text in cure.source if text.startswith(("unclamp_s", "machine_s"))),
    )
