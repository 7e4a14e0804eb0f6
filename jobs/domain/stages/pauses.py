"""Commands that pause and resume a stage."""

from jobs.domain.checks import about, refuse_if_ended, title_of
from jobs.domain.stages.preconditions import (
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
