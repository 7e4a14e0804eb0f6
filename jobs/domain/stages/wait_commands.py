"""Commands on waits: end one, correct its start."""

from datetime import datetime

from jobs.core.errors import Invalid, NotYet
from jobs.domain import lookups
from jobs.domain.checks import about, clock, refuse_if_ended, the_reason, title_of
from jobs.domain.stages.preconditions import refuse_as_done
from jobs.domain.waits.route import RouteState, is_suspect, may_begin, reason_of
from jobs.domain.waits.waits import append_stage, end_wait, start_passive_stages
from jobs.log.commands import CommandTransaction, command
from jobs.models import Stage, Wait


@command
def finish_wait(tx: CommandTransaction, *, wait: int, reason: str = "") -> None:
    """End a wait; one that is not over needs a reason."""
    found = lookups.wait(wait)
    if found.step == Wait.Step.FINISHED:
        says = f"{found.title} is ended"
        refuse_as_done(
            found.stage, says, field="wait", value=wait, allowed="a running wait", kind="wait_finished"
        )
    tx.check_version(found.stage.piece.version, what=f"piece {found.stage.piece.number}")
    refuse_unless_running(found)
    refuse_if_ended(found.stage.piece.commission)
    if not may_begin(found, tx.call.at) and not reason.strip():
        says = "is not over" + (f": {reason_of(found)}" if is_suspect(found) else "")
        raise about(found, says, allowed="a reason why it is ended all the same", error=NotYet)
    end_wait(tx, found, reason=reason)
    start_passive_stages(tx, found.stage.piece)


@command
def take_back_end(tx: CommandTransaction, *, wait: int) -> None:
    """Let an ended wait run on; refuse once a stage that it held, or one by itself, has begun since."""
    found = lookups.wait(wait)
    tx.check_version(found.stage.piece.version, what=f"piece {found.stage.piece.number}")
    refuse_if_ended(found.stage.piece.commission)
    if found.step != Wait.Step.FINISHED:
        raise about(found, f"is {found.step}", allowed="a wait that was ended")
    route = RouteState(found.stage.piece)
    after = {*found.holds, *(s.key for s in route.followers(found.stage) if s.spec["passive"])}
    begun = [stage for stage in route.stages if stage.key in after and stage.step != Stage.Step.PLANNED]
    if begun or found.stage.step not in (Stage.Step.WAITING, Stage.Step.DONE):
        first = title_of(begun[0]) if begun else title_of(found.stage)
        raise about(found, f"cannot run on: {first} has begun", allowed="put that back first")
    append_stage(tx, "wait_end_taken_back", found.stage, {"wait": found.id})


@command
def correct_start(tx: CommandTransaction, *, wait: int, since: datetime | None, reason: str) -> None:
    """Correct when a running wait began; its times and its reminders follow."""
    found = lookups.wait(wait)
    tx.check_version(found.stage.piece.version, what=f"piece {found.stage.piece.number}")
    refuse_unless_running(found)
    refuse_if_ended(found.stage.piece.commission)
    why = the_reason(reason, what="a correction")
    earliest = _work_begun(found)
    if since is None or not earliest <= since <= tx.call.at:
        raise Invalid(
            "it cannot have begun then",
            field="since",
            value=since.isoformat() if since else "",
            allowed=f"{clock(earliest)} to {clock(tx.call.at)}",
        )
    append_stage(
        tx,
        "wait_start_corrected",
        found.stage,
        {"wait": found.id, "since": since, "was": found.since, "reason": why},
    )


def _work_begun(wait: Wait) -> datetime:
    """Return when the stage whose work is waiting was started."""
    route = RouteState(wait.stage.piece)
    spec = next((s for s in wait.stage.spec["waits"] if s["kind"] == wait.kind), None)
    stage = route.by_key.get(spec["since"], wait.stage) if spec else wait.stage
    return stage.started_at or wait.since


def refuse_unless_running(wait: Wait) -> None:
    """Refuse a wait that is over."""
    if wait.step != Wait.Step.RUNNING:
        raise about(wait, f"is {wait.step}", allowed="a running wait")
