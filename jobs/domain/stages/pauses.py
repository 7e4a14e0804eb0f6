"""Commands on the clock of a stage: pause, resume, and say how long it took."""

from jobs.domain.checks import about, in_range, refuse_if_ended, title_of
from jobs.domain.stages.preconditions import (
    LONGEST_MINUTES,
    minutes_worked,
    refuse_as_done,
    refuse_unless_under_way,
    the_stage,
)
from jobs.domain.waits.waits import append_stage
from jobs.log.commands import CommandTransaction, command
from jobs.models import Stage


@command
def pause_stage(tx: CommandTransaction, *, piece: str, stage: str) -> None:
    """Stop the clock of a stage that is under way."""
    found = the_stage(tx, piece, stage, still=_refuse_if_paused)
    refuse_if_ended(found.piece.commission)
    minutes_worked(tx, found)
    append_stage(tx, "stage_paused", found, {})


@command
def resume_stage(tx: CommandTransaction, *, piece: str, stage: str) -> None:
    """Start the clock of a paused stage again."""
    found = the_stage(tx, piece, stage, still=_refuse_unless_paused)
    refuse_if_ended(found.piece.commission)
    append_stage(tx, "stage_resumed", found, {})


@command
def time_stage(tx: CommandTransaction, *, piece: str, stage: str, minutes: int) -> None:
    """Record how long a finished stage took, where nobody counted it or the count is wrong."""
    found = the_stage(tx, piece, stage)
    in_range(minutes, 0, LONGEST_MINUTES, "minutes out of range", field="minutes")
    if found.step not in (Stage.Step.DONE, Stage.Step.WAITING) or found.spec["passive"]:
        raise about(found, "has no minutes to say", allowed="a stage finished by hand")
    append_stage(tx, "stage_timed", found, {"minutes": minutes})


def _refuse_if_paused(stage: Stage) -> None:
    refuse_unless_under_way(stage)
    if stage.resumed_at is None:
        says = f"{title_of(stage)} is paused"
        refuse_as_done(stage, says, allowed="a stage at work", kind="stage_paused")


def _refuse_unless_paused(stage: Stage) -> None:
    """Refuse a stage that is not paused, saying who resumed it."""
    refuse_unless_under_way(stage)
    if stage.resumed_at is None:
        return
    says, allowed = f"{title_of(stage)} is at work", "a paused stage"
    refuse_as_done(stage, says, allowed=allowed, kind="stage_resumed", occurred_at=stage.resumed_at)
    raise about(stage, "is not paused", allowed=allowed)
