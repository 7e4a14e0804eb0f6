"""Measurements that may follow a glue-up: glue that sets does not wait for a lot number.

Finishing such a stage always saves, so its clock starts at the tap. The stage asks later for a measurement
that is missing or outside its limits. Whatever must be known before the clamps is a gate at the start.
"""

from typing import Any

from jobs.core.errors import Invalid
from jobs.core.units import Units
from jobs.domain.checks import refuse_if_ended, title_of
from jobs.domain.stages import gates
from jobs.domain.stages.preconditions import ground, kept, refuse_as_done, the_stage, warn_of_lots
from jobs.domain.waits.route import RouteState
from jobs.domain.waits.waits import append_stage
from jobs.log.commands import CommandTransaction, command
from jobs.models import Stage

GLUE_CLOCK = "glue."
CLAMPS = "clamps"


def at_the_clamps(stage: Stage) -> bool:
    """Return whether a stage leaves glue that sets, so that its finish starts a clock."""
    spec = stage.spec
    glued = any(wait["clock"].startswith(GLUE_CLOCK) for wait in spec["waits"])
    return not spec["passive"] and (glued or (spec["place"] == CLAMPS and bool(spec["waits"])))


def still_asked(stage: Stage) -> list[dict[str, Any]]:
    """Return the gates of a finished stage that have neither a measurement nor a reason."""
    if stage.step not in (Stage.Step.WAITING, Stage.Step.DONE) or not at_the_clamps(stage):
        return []
    given = {*stage.measured, *stage.overrides}
    return [g for g in stage.spec["gates"] if g["at"] == "finish" and "unit" in g and g["key"] not in given]


@command
def add_measurement(
    tx: CommandTransaction,
    *,
    piece: str,
    stage: str,
    gate: str,
    units: Units,
    value: str = "",
    override: str = "",
) -> None:
    """Record a measurement that a stage still asks for.

    A value outside its limits needs a reason in ``override``. So does a missing value that nobody knows.
    """
    found = the_stage(tx, piece, stage)
    refuse_if_ended(found.piece.commission)
    asked = [g for g in still_asked(found) if g["key"] == gate]
    if not asked:
        open_ones = ", ".join(g["key"] for g in still_asked(found)) or "nothing is still asked here"
        if gate in found.measured or gate in found.overrides:
            says, kind = f"{gate} of {title_of(found)} was said", "measurement_added"
            refuse_as_done(found, says, field="gate", value=gate, allowed=open_ones, kind=kind)
        raise Invalid("this is not asked here", field="gate", value=gate, allowed=open_ones)
    passed = gates.check(
        asked,
        "finish",
        {gate: value},
        {gate: override} if override else {},
        ground(tx, RouteState(found.piece), units),
    )
    append_stage(
        tx,
        "measurement_added",
        found,
        {"gate": gate, "value": passed.measured.get(gate), "overrides": kept(passed.overrides)},
    )
    warn_of_lots(tx, passed.measured, found)
