"""Pins: what a maker fixes in the plan, "this on Tuesday, this person, this first". A plan keeps to them."""

from datetime import date, timedelta

from jobs.core.errors import AlreadyDone, Invalid, WrongState
from jobs.domain.checks import in_range, title_of
from jobs.domain.planning.problem.drafts import Pin
from jobs.domain.stages.preconditions import the_stage
from jobs.domain.waits.waits import append_stage
from jobs.log.commands import CommandTransaction, command
from jobs.models import Person, PlanPin, Stage

OVER = (Stage.Step.DONE, Stage.Step.SKIPPED, Stage.Step.WAITING)
FARTHEST = timedelta(days=365)


@command
def pin_stage(
    tx: CommandTransaction,
    *,
    piece: str,
    stage: str,
    day: date | None = None,
    person: str = "",
    first: bool = False,
) -> None:
    """Pin a stage in the plan: to a day, to a person, or to come first; it replaces an older pin."""
    found = the_stage(tx, piece, stage)
    if found.step in OVER or found.spec["passive"]:
        raise WrongState(
            f"{title_of(found)} is nothing to plan", field="stage", value=stage, allowed="work still to do"
        )
    if day is None and not person and not first:
        raise Invalid("nothing is pinned", field="day", value="", allowed="a day, a person, or first")
    if day is not None:
        in_range(day, tx.call.day, tx.call.day + FARTHEST, "this day cannot be planned for", field="day")
    if person and not Person.objects.filter(id=person, is_active=True).exists():
        raise Invalid("nobody here has this key", field="person", value=person[:40], allowed="a person here")
    append_stage(tx, "plan_pinned", found, {"day": day, "person": person, "is_first": first})


@command
def unpin_stage(tx: CommandTransaction, *, piece: str, stage: str) -> None:
    """Take the pin of a stage off; the plan places it freely again."""
    found = the_stage(tx, piece, stage)
    if not PlanPin.objects.filter(piece=piece, stage=stage, is_off=False).exists():
        raise AlreadyDone("it is not pinned", field="stage", value=stage, allowed="a pinned stage")
    append_stage(tx, "plan_unpinned", found, {})


def pins_of() -> dict[tuple[str, str], Pin]:
    """Return the pins by piece and stage."""
    return {
        (row.piece, row.stage): Pin(day=row.day, person=row.person, is_first=row.is_first)
        for row in PlanPin.objects.filter(is_off=False)
    }
