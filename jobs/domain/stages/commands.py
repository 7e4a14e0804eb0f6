"""Commands on stages: start, finish, both at once, put back, reopen, skip."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from jobs.core.errors import Invalid
from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.checks import about, in_range, refuse_if_ended, the_reason
from jobs.domain.lifecycle import follow_milestone, move, unfollow_milestone
from jobs.domain.routes.approvals import approved_gates
from jobs.domain.stages import gates
from jobs.domain.stages.clamps import free, free_after, take, wanted
from jobs.domain.stages.glue_today import record_closings
from jobs.domain.stages.left_open import at_the_clamps, leave_open, minutes_if_known
from jobs.domain.stages.preconditions import (
    LONGEST_MINUTES,
    ask_if_long_ago,
    ground,
    kept,
    refuse_before_start,
    refuse_if_on_paper,
    refuse_if_succeeded,
    refuse_unless_open,
    refuse_unless_planned,
    refuse_unless_under_way,
    shut_by_clampings,
    shut_by_wait,
    the_stage,
    warn_of_lots,
)
from jobs.domain.stages.route_edits import abrade_first, recoat_missed
from jobs.domain.stages.safety import open_tasks
from jobs.domain.stages.sibling_stages import finish_siblings, sibling_stages
from jobs.domain.waits.closing import close_if_settled
from jobs.domain.waits.route import RouteState, is_once
from jobs.domain.waits.waits import append_stage, end_wait, start_passive_stages, start_waits
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import store_private_text
from jobs.models import Commission, Stage

Step = Commission.Step
STARTS_THE_WORK = (Step.ACCEPTED,)


@command
def start_stage(
    tx: CommandTransaction,
    *,
    piece: str,
    stage: str,
    units: Units,
    measured: Mapping[str, str] | None = None,
    override: Mapping[str, str] | None = None,
    clamps: Mapping[str, int] | None = None,
    long_ago: bool = False,
) -> None:
    """Start a stage whose predecessors are finished, whose waits are over and whose gates hold.

    ``override`` maps a gate's key to the reason for passing it. A running wait has the key ``wait:<kind>``, a
    missed window ``window:<kind>``. Predecessors cannot be overridden. A glue-up computed as several
    clampings asks for a decision; a reason under ``clampings`` glues it in one go. ``clamps`` maps equipment
    to the number a stage at the clamps takes; it holds them until they come off. ``long_ago`` confirms a time
    before the commission was opened, or weeks back.
    """
    found = the_stage(tx, piece, stage, still=refuse_unless_planned)
    ask_if_long_ago(tx, found, meant=long_ago)
    _start(tx, found, units, measured or {}, override or {}, clamps)


def _start(
    tx: CommandTransaction,
    found: Stage,
    units: Units,
    measured: Mapping[str, str],
    override: Mapping[str, str],
    clamps: Mapping[str, int] | None,
) -> bool:
    """Start a planned stage; return false where a missed recoat window put abrading in its place."""
    if found.spec["passive"]:
        raise about(found, "starts by itself")
    route = RouteState(found.piece)
    refuse_unless_open(route, found)
    asked = wanted(found, clamps)
    several = shut_by_clampings(route, found, override, at=tx.call.at)
    holding = route.holding(found)
    if recoat_missed(holding, tx, override):
        abrade_first(tx, found)
        return False
    passed = gates.check(
        found.spec["gates"],
        "start",
        measured,
        override,
        ground(tx, route, units),
        also_shut=[*several, *(s for wait in holding for s in shut_by_wait(tx, wait))],
    )
    if found.piece.commission.step in STARTS_THE_WORK and not found.spec["before_acceptance"]:
        move(tx, found.piece.commission, Step.IN_SHOP)
    for wait in holding:
        end_wait(tx, wait, reason=passed.overrides.get(f"wait:{wait.kind}", ""))
    append_stage(
        tx,
        "stage_started",
        found,
        {
            "measured": passed.measured,
            "overrides": kept(passed.overrides),
            "auto": False,
        },
    )
    take(tx, found, asked)
    start_passive_stages(tx, found.piece)
    return True


@command
def finish_stage(
    tx: CommandTransaction,
    *,
    piece: str,
    stage: str,
    units: Units,
    minutes: int | None = None,
    measured: Mapping[str, str] | None = None,
    override: Mapping[str, str] | None = None,
    remark: str = "",
    long_ago: bool = False,
    glue_on: datetime | None = None,
    joints: Sequence[Mapping[str, Any]] = (),
) -> None:
    """Finish a stage under way: its gates hold, its waits start, passive stages follow.

    At the clamps no gate blocks the finish; the stage asks for what is missing later. ``glue_on`` and
    ``joints`` say when the first glue was on and when each joint was closed. What the client approved on the
    page need not be said again.
    """
    found = the_stage(tx, piece, stage, still=refuse_unless_under_way)
    ask_if_long_ago(tx, found, meant=long_ago)
    refuse_if_ended(found.piece.commission)
    refuse_before_start(tx, found)
    if (glue_on or joints) and not at_the_clamps(found):
        raise Invalid("it is no glue-up", field="joints", value=stage, allowed="joints at the clamps only")
    worked = minutes_if_known(tx, found) if minutes is None else minutes
    _finish(tx, found, units, measured or {}, override or {}, minutes=worked, remark=remark)
    record_closings(tx, found, glue_on=glue_on, joints=joints)


def _finish(
    tx: CommandTransaction,
    found: Stage,
    units: Units,
    measured: Mapping[str, str],
    override: Mapping[str, str],
    *,
    minutes: int | None,
    remark: str,
) -> None:
    """Finish a stage under way; None stands for minutes that nobody counted."""
    if minutes is not None:
        in_range(minutes, 0, LONGEST_MINUTES, "minutes out of range", field="minutes")
    route = RouteState(found.piece)
    approved = dict.fromkeys(approved_gates(found), "yes")
    passed = gates.check(
        found.spec["gates"],
        "finish",
        {**approved, **measured},
        override,
        ground(tx, route, units),
        later=at_the_clamps(found),
    )
    overrides = kept(passed.overrides)
    append_stage(
        tx,
        "stage_finished",
        found,
        {
            "minutes": minutes,
            "measured": passed.measured,
            "overrides": overrides,
            "remark": store_private_text(remark, field="remark"),
        },
    )
    free_after(tx, found)
    leave_open(tx, found, passed.left)
    warn_of_lots(tx, passed.measured, found)
    start_waits(tx, RouteState(found.piece), lookups.stage(found.piece.number, found.key))
    open_tasks(tx, found)
    start_passive_stages(tx, found.piece)
    finish_siblings(tx, found, overrides)
    if found.spec["marks"]:
        follow_milestone(tx, found.piece.commission, found.spec["marks"])
    close_if_settled(tx, found.piece.commission)


@command
def do_stage(
    tx: CommandTransaction,
    *,
    piece: str,
    stage: str,
    units: Units,
    minutes: int | None = None,
    measured: Mapping[str, str] | None = None,
    override: Mapping[str, str] | None = None,
    remark: str = "",
    long_ago: bool = False,
) -> None:
    """Start a stage and finish it at the same moment: it was done, and is said once.

    Without ``minutes`` nobody counted them: they stay unknown and bear on no rate. ``measured`` and
    ``override`` serve the gates of both moments.
    """
    found = the_stage(tx, piece, stage, still=refuse_unless_planned)
    ask_if_long_ago(tx, found, meant=long_ago)
    given = measured or {}
    at_start = {g["key"] for g in found.spec["gates"] if g["at"] == "start"}
    first = {key: value for key, value in given.items() if key in at_start}
    if not _start(tx, found, units, first, override or {}, None):
        return
    then = {key: value for key, value in given.items() if key not in at_start}
    _finish(tx, lookups.stage(piece, stage), units, then, override or {}, minutes=minutes, remark=remark)


@command
def put_back_stage(tx: CommandTransaction, *, piece: str, stage: str) -> None:
    """Undo the start or the skipping of a stage: it is planned again and its measurements are void.

    A stage that was started and finished at one moment is put back whole.
    """
    found = the_stage(tx, piece, stage)
    at_once = found.step in (Stage.Step.DONE, Stage.Step.WAITING) and found.started_at == found.finished_at
    if at_once:
        refuse_if_on_paper(found)
        if found.spec["marks"]:
            unfollow_milestone(tx, found.piece.commission, found.spec["marks"])
    refuse_if_ended(found.piece.commission)
    if found.step == Stage.Step.SKIPPED or at_once:
        for follower in reversed(refuse_if_succeeded(RouteState(found.piece), found)):
            append_stage(tx, "stage_put_back", follower, {})
    else:
        refuse_unless_under_way(found)
    free(tx, found)
    append_stage(tx, "stage_put_back", found, {})
    together = (Stage.Step.UNDER_WAY, *((Stage.Step.DONE,) if at_once else ()))
    for sister in sibling_stages(found, *together):
        append_stage(tx, "stage_put_back", sister, {})


@command
def reopen_stage(tx: CommandTransaction, *, piece: str, stage: str, reason: str) -> None:
    """Reopen a finished stage: its waits are void and it is under way again.

    Refuse while a successor has started or an issued paper rests on it, naming what to undo first.
    """
    found = the_stage(tx, piece, stage)
    if found.step not in (Stage.Step.DONE, Stage.Step.WAITING):
        raise about(found, f"is {found.step}; only a finished stage is reopened", allowed="done, waiting")
    if found.spec["passive"]:
        before = ", ".join(found.spec["after"])
        raise about(found, "needs no hands; reopen what comes before it", allowed=before)
    why = the_reason(reason, what="reopening")
    together = [found, *sibling_stages(found, Stage.Step.DONE)]
    unattended = [s for one in together for s in refuse_if_succeeded(RouteState(one.piece), one)]
    refuse_if_on_paper(found)
    if found.spec["marks"]:
        unfollow_milestone(tx, found.piece.commission, found.spec["marks"])
    else:
        refuse_if_ended(found.piece.commission)
    for follower in reversed(unattended):
        append_stage(tx, "stage_put_back", follower, {})
    for one in together:
        append_stage(tx, "stage_reopened", one, {"reason": why})


@command
def skip_stage(
    tx: CommandTransaction, *, piece: str, stage: str, reason: str, long_ago: bool = False
) -> None:
    """Skip a planned stage on this piece, with a reason; its followers count it as done."""
    found = the_stage(tx, piece, stage)
    ask_if_long_ago(tx, found, meant=long_ago)
    refuse_unless_planned(found)
    route = RouteState(found.piece)
    refuse_unless_open(route, found)
    if found.spec["marks"] or found.spec["owner_only"] or is_once(found):
        says = "moves the commission on and cannot be skipped"
        raise about(found, says, allowed="stages of the work itself")
    why = the_reason(reason, what="skipping")
    for wait in route.holding(found):
        end_wait(tx, wait, reason=reason)
    append_stage(tx, "stage_skipped", found, {"reason": why})
    free_after(tx, found)
    start_passive_stages(tx, found.piece)
    close_if_settled(tx, found.piece.commission)
