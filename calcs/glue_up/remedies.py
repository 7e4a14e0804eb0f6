"""Ways to glue a top in fewer clampings: a slower glue, a cooler shop, more hands, or sub-assemblies."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.glue_up.assembly import assembly_time
from calcs.glue_up.glue_stages import (
    MOST_HANDS,
    RESERVE,
    clamps_s,
    joint_s,
    joints_at_once,
    plan_within_machines,
)
from calcs.glue_up.gluing_inputs import GlueLines
from calcs.kit.amounts import both_temperatures
from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import up
from calcs.materials.product_sheets import Glue

MOST_GLUES = 3
"""Glues told: the quickest that are slow enough, as a slower one also holds the clamps longer."""


@dataclass(frozen=True, kw_only=True)
class Remedy:
    """One way out, with its effect.

    Attributes
    ----------
    what : str
        The change.
    clampings : int
        Clampings that it takes then.
    needed_s, allowed_s : int
        Time of all joints in one go, and what the open time allows [s].
    gained_s : int
        Time that it brings closer: less needed and more allowed, together [s].
    """

    what: Annotated[str, Figure("Change")]
    clampings: Annotated[int, Figure("Clampings then")]
    needed_s: Annotated[int, Figure("Needed in one go")]
    allowed_s: Annotated[int, Figure("Allowed")]
    gained_s: Annotated[int, Figure("Brings")]


@dataclass(frozen=True, kw_only=True)
class Pace:
    """Clampings of a glue-up, and its times in one go [s]."""

    clampings: int
    needed_s: int
    allowed_s: int


def pace_of(top: GlueLines) -> Pace | None:
    """Return the clampings and times of a glue-up; None where not even one joint can be closed."""
    try:
        day = assembly_time(top.glue, temp_c=top.temp_c, rh_pct=top.rh_pct)
        joint, clamps = joint_s(top), clamps_s(top)
        plan, _ = plan_within_machines(top, joints_at_once(top, day, joint, clamps))
    except OutOfRange:
        return None
    joints = len(top.strips_len) - 1
    return Pace(clampings=len(plan), needed_s=up(joint * joints), allowed_s=int(day.open_s * RESERVE))


def remedies(top: GlueLines, glues: Iterable[Glue]) -> tuple[Remedy, ...]:
    """Return what would let a glue-up be done in fewer clampings, each with its effect.

    Parameters
    ----------
    top : GlueLines
        Glue-up as it stands: glue, temperature [°C], hands and pace [s].
    glues : iterable of Glue
        Glues to choose from.

    Returns
    -------
    tuple of Remedy
        Glues, the quickest first; then the warmest shop that is cool enough, to 1 °C; then one more pair of
        hands. Empty where it is done in one go.

    Notes
    -----
    Each is tried by itself. A cooler shop lengthens the glue's other times too. The pace and the share of the
    open time are common practice.
    """
    now = pace_of(top)
    if now is None or now.clampings == 1:
        return ()
    found = [*_glues(top, now, glues), _cooler(top, now)]
    if top.people < MOST_HANDS and top.dry_fit_s is None:
        found.append(_tried("one more pair of hands", replace(top, people=top.people + 1), now))
    return tuple(remedy for remedy in found if remedy)


def _tried(what: str, changed: GlueLines, now: Pace) -> Remedy | None:
    """Return a change with its effect; None where it saves no clamping."""
    then = pace_of(changed)
    if then is None or then.clampings >= now.clampings:
        return None
    return Remedy(
        what=what,
        clampings=then.clampings,
        needed_s=then.needed_s,
        allowed_s=then.allowed_s,
        gained_s=(now.needed_s - now.allowed_s) - (then.needed_s - then.allowed_s),
    )


def _glues(top: GlueLines, now: Pace, glues: Iterable[Glue]) -> list[Remedy]:
    slower = sorted((g for g in glues if g.open_s > top.glue.open_s), key=lambda g: (g.open_s, g.name))
    tried = [_tried(f"glue: {glue.name}", replace(top, glue=glue), now) for glue in slower]
    return [remedy for remedy in tried if remedy][:MOST_GLUES]


def _cooler(top: GlueLines, now: Pace) -> Remedy | None:
    """Return the warmest shop in whole degrees that saves a clamping, down to the sheet's least."""
    degrees = range(int(top.temp_c) - 1, int(top.glue.min_temp_c) - 1, -1)
    tried = (
        _tried(f"shop and wood at {both_temperatures(Decimal(c))}", replace(top, temp_c=Decimal(c)), now)
        for c in degrees
    )
    return next((remedy for remedy in tried if remedy), None)
