"""Redo work from a stage on, and correct measurements; the log keeps the earlier values."""

from typing import Any

from calcs.lumber.layout import RE_RIP
from jobs.core.errors import Invalid
from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.checks import about, in_range, refuse_if_ended, the_reason
from jobs.domain.lifecycle import unfollow_milestone
from jobs.domain.pieces.calculations import compute, differences
from jobs.domain.stages import gates
from jobs.domain.stages.clamps import free
from jobs.domain.stages.preconditions import ground, kept, refuse_if_on_paper, the_stage
from jobs.domain.waits.route import RouteState
from jobs.domain.waits.waits import append_stage, recalculate_wait, start_passive_stages
from jobs.log.commands import CommandContext, CommandResult, CommandTransaction, command, replayed_result
from jobs.models import Piece, Stage

MOST_JOINTS = 60


def redo_stage(
    call: CommandContext, *, piece: str, stage: str, reason: str, joints_ripped: int = 0
) -> CommandResult:
    """Redo a stage and every begun stage after it, each as a new attempt.

    ``joints_ripped`` counts the joints that are ripped apart and jointed again. Each one costs width, so the
    layout is recalculated. The answer says where the finished width is out of reach.
    """
    if earlier := replayed_result(call):
        return earlier
    in_range(joints_ripped, 0, MOST_JOINTS, "joints out of range", field="joints_ripped")
    return _redo(
        call, piece=piece, stage=stage, reason=reason, narrower=_narrower(lookups.piece(piece), joints_ripped)
    )


@command
def _redo(
    tx: CommandTransaction, *, piece: str, stage: str, reason: str, narrower: dict[str, Any] | None
) -> None:
    found = the_stage(tx, piece, stage)
    refuse_if_ended(found.piece.commission)
    if found.step not in (Stage.Step.DONE, Stage.Step.WAITING, Stage.Step.UNDER_WAY) or found.spec["passive"]:
        says = f"is {found.step}; only work that was begun is redone"
        raise about(found, says, allowed="stages that were begun and need hands")
    why = the_reason(reason, what="redoing")
    again = _begun_from(RouteState(found.piece), found)
    for one in again:
        refuse_if_on_paper(one)
    for one in reversed(again):
        if one.spec["marks"] and one.step == Stage.Step.DONE:
            unfollow_milestone(tx, one.piece.commission, one.spec["marks"])
        free(tx, one)
    append_stage(tx, "stage_redone", found, {
        "reason": why, "again": [s.key for s in again], "piece_now": narrower,
    })  # fmt: skip
    if narrower:
        tx.notices.extend(narrower["computed"].get("layout", {}).get("result", {}).get("warnings", []))
    start_passive_stages(tx, lookups.piece(piece))


def _begun_from(route: RouteState, stage: Stage) -> list[Stage]:
    """Return the stage and every begun stage after it, in the order of the route."""
    after = {stage.key}
    for other in route.stages:
        if after & set(other.spec["after"]):
            after.add(other.key)
    return [s for s in route.stages if s.key in after and s.step != Stage.Step.PLANNED]


def _narrower(piece: Piece, joints: int) -> dict[str, Any] | None:
    """Return the inputs and results of the piece without the width that ripped joints cost."""
    if not joints:
        return None
    inputs = {**piece.inputs, "lost_width_len": piece.inputs.get("lost_width_len", 0) + joints * RE_RIP}
    computed = compute(inputs, piece)
    return {"inputs": inputs, "computed": computed, "changed": differences(piece.computed, computed)}


@command
def correct_measurement(
    tx: CommandTransaction,
    *,
    piece: str,
    stage: str,
    gate: str,
    value: str,
    reason: str,
    units: Units,
    override: str = "",
) -> None:
    """Replace a mistaken measurement by a new event; the old one stays in the log.

    A value outside its limits needs a reason in ``override``. Running waits that used the old value are
    recalculated.
    """
    found = the_stage(tx, piece, stage)
    refuse_if_ended(found.piece.commission)
    refuse_if_on_paper(found)
    asked = [g for g in found.spec["gates"] if g["key"] == gate and "unit" in g]
    if not asked or gate not in found.measured:
        allowed = ", ".join(sorted(found.measured)) or "nothing was measured"
        raise Invalid("this was not measured here", field="gate", value=gate, allowed=allowed)
    why = the_reason(reason, what="a correction")
    route = RouteState(found.piece)
    passed = gates.check(
        asked, asked[0]["at"], {gate: value}, {gate: override} if override else {}, ground(tx, route, units)
    )
    append_stage(tx, "measurement_corrected", found, {
        "gate": gate, "value": passed.measured[gate], "was": found.measured[gate], "reason": why,
        "overrides": kept(passed.overrides),
    })  # fmt: skip
    route = RouteState(lookups.piece(piece))
    for wait in route.waits:
        specs = [w for w in wait.stage.spec["waits"] if w["kind"] == wait.kind]
        if found.key in (wait.stage.key, *(spec["since"] for spec in specs)):
            recalculate_wait(tx, route, wait)
