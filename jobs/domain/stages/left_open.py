"""What may follow a glue-up: glue that sets does not wait for a lot number.

Finishing such a stage always saves, so its clock starts at the tap. The stage asks later for every gate that
is not answered, matters of safety first. Whatever must be known before the clamps is a gate at the start.
"""

from collections.abc import Sequence
from typing import Any

from jobs.core.errors import Invalid
from jobs.core.units import Units
from jobs.domain.checks import refuse_if_ended, title_of
from jobs.domain.stages import gates
from jobs.domain.stages.preconditions import (
    ground,
    kept,
    minutes_worked,
    refuse_as_done,
    the_stage,
    warn_of_lots,
)
from jobs.domain.waits.route import RouteState
from jobs.domain.waits.waits import append_stage
from jobs.log.commands import CommandTransaction, command
from jobs.models import Stage

GLUE_CLOCK = "glue."
CLAMPS = "clamps"
HOLDS = {"yes": True}
"""The answer to a rule that holds when it is asked again."""


def at_the_clamps(stage: Stage) -> bool:
    """Return whether a stage leaves glue that sets, so that its finish starts a clock."""
    spec = stage.spec
    glued = any(wait["clock"].startswith(GLUE_CLOCK) for wait in spec["waits"])
    return not spec["passive"] and (glued or (spec["place"] == CLAMPS and bool(spec["waits"])))


def still_asked(stage: Stage) -> list[dict[str, Any]]:
    """Return the gates of a finished stage that have neither an answer nor a reason, safety first."""
    if stage.step not in (Stage.Step.WAITING, Stage.Step.DONE) or not at_the_clamps(stage):
        return []
    given = {*stage.measured, *stage.overrides}
    asked = [g for g in stage.spec["gates"] if g["at"] == "finish" and g["key"] not in given]
    left = [g for g in asked if "unit" in g or g["key"] in stage.left_open]
    return sorted(left, key=lambda gate: not gate.get("safety", False))


def leave_open(tx: CommandTransaction, stage: Stage, left: Sequence[gates.GateFailure]) -> None:
    """Record that the finish of a stage left these gates open; a notice names each."""
    if not left:
        return
    append_stage(tx, "gates_left_open", stage, {"gates": [shut.key for shut in left]})
    of_safety = {gate["key"] for gate in stage.spec["gates"] if gate.get("safety", False)}
    for shut in sorted(left, key=lambda shut: shut.key not in of_safety):
        says = f"{shut.title} is still asked"
        if shut.value != gates.NOT_GIVEN:
            says = f"{shut.title}: {shut.value}, allowed {shut.allowed}. It is still asked, with the reason"
        tx.notices.append(
            f"{says}. It is a matter of safety: answer it now" if shut.key in of_safety else says
        )


def minutes_if_known(tx: CommandTransaction, stage: Stage) -> int | None:
    """Return the minutes at work; at the clamps None with a notice where they cannot be counted."""
    try:
        return minutes_worked(tx, stage)
    except Invalid as wrong:
        if wrong.field != "minutes" or not at_the_clamps(stage):
            raise
    tx.notices.append("it was started too long ago to count the minutes of work")
    return None


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
    """Record the answer to a gate that a stage still asks.

    A value outside its limits needs a reason in ``override``. So does a missing value that nobody knows, and
    a rule that does not hold now either.
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
    is_rule = "rule" in asked[0]
    passed = gates.check(
        asked,
        "finish",
        {} if is_rule else {gate: value},
        {gate: override} if override else {},
        ground(tx, RouteState(found.piece), units),
    )
    answer = HOLDS if is_rule and not passed.overrides else passed.measured.get(gate)
    append_stage(
        tx,
        "measurement_added",
        found,
        {"gate": gate, "value": answer, "overrides": kept(passed.overrides)},
    )
    warn_of_lots(tx, passed.measured, found)
