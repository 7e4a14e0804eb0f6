"""Safety tasks: a stage that leaves a hazard opens one, a person settles it by saying what was done."""

from datetime import datetime, time, timedelta

from django.utils import timezone

from jobs.core.errors import AlreadyDone, Invalid
from jobs.domain import lookups
from jobs.domain.checks import clock, has_words, person_name
from jobs.domain.pieces.inputs import products_for
from jobs.domain.settings import settings
from jobs.domain.waits.waits import append_stage
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import store_private_text
from jobs.models import SafetyTask, Stage, Wait

FIRST = timedelta(minutes=15)
OVERTIME = timedelta(hours=1)
"""Time to the reminder of a task that opens after closing time: common practice, no source."""
LONGEST_HOW = 2000


def open_tasks(tx: CommandTransaction, stage: Stage) -> None:
    """Open the safety tasks of a stage that was just finished. Called by other commands.

    A coat that is wiped off has one task. The task is due when the wiping ends, or when its window closes
    without it. A task that is already open never moves to a later time.
    """
    at, closing = tx.call.at, closing_after(tx.call.at)
    for kind in _left_by(stage):
        due = (_wiped_by(stage, kind) or at) + FIRST
        told = {"kind": kind, "title": stage.spec["title"]}
        asked = _asked_of_the_coat(stage, kind)
        if asked is None:
            append_stage(tx, "task_opened", stage, {**told, "due_at": due, "closing_at": closing})
        else:
            due, closing = min(due, asked.due_at), min(closing, asked.closing_at)
            append_stage(
                tx, "task_moved", stage, {**told, "task": asked.id, "due_at": due, "closing_at": closing}
            )
        tx.notices.append(f"{kind.label} Say on the bench what was done, by {clock(min(due, closing))}")


def _wiped_by(stage: Stage, kind: SafetyTask.Kind) -> datetime | None:
    """Return when the window to wipe off this coat closes; None where no such wiping follows."""
    wiping = stage.piece.stages.filter(key=stage.spec.get("then", "")).first()
    if wiping is None or wiping.step != Stage.Step.PLANNED or kind not in _left_by(wiping):
        return None
    windows = [w for w in stage.waits.filter(step=Wait.Step.RUNNING) if wiping.key in w.holds]
    closing = [w.since + timedelta(seconds=w.closes_s) for w in windows if w.closes_s is not None]
    return min(closing, default=None)


def _asked_of_the_coat(stage: Stage, kind: SafetyTask.Kind) -> SafetyTask | None:
    """Return the open task of the coat that this stage wiped off, if there is one."""
    coats = [s.key for s in stage.piece.stages.all() if s.spec.get("then") == stage.key]
    return stage.piece.safety_tasks.filter(kind=kind, stage__in=coats, done_at=None).last()


def _left_by(stage: Stage) -> list[SafetyTask.Kind]:
    """Return the hazards a stage leaves: rags by its cautions, dust where the finish heats by itself."""
    cautions, kinds = stage.spec["cautions"], []
    if "oily-rags" in cautions:
        kinds.append(SafetyTask.Kind.RAGS)
    if "fresh-finish-dust" in cautions and any(
        p.finish and p.finish.self_heating for p in products_for("finish", stage.piece.inputs)
    ):
        kinds.append(SafetyTask.Kind.DUST)
    return kinds


def closing_after(at: datetime) -> datetime:
    """Return the shop's closing time on that day, or an hour later for work after closing."""
    local = timezone.localtime(at)
    hour, minute = settings()["closing_time"].split(":")
    closing = datetime.combine(local.date(), time(int(hour), int(minute)), local.tzinfo)
    return closing if closing > at else at + OVERTIME


@command
def settle_task(tx: CommandTransaction, *, task: int, how: str) -> None:
    """Settle a safety task by saying what was done; refuse an empty answer."""
    found = _open(tx, task)
    has_words(how, "say what was done", field="how", allowed="a few words, such as: drowned in the can")
    tx.append("task_settled", f"commission:{found.piece.commission.number}", {
        "task": found.id, "kind": found.kind,
        "how": store_private_text(how, field="how", longest=LONGEST_HOW),
    })  # fmt: skip


@command
def snooze_task(tx: CommandTransaction, *, task: int, person: str, until: datetime) -> None:
    """Snooze the first reminder of a safety task for this person, never past closing time."""
    found = _open(tx, task)
    if not tx.call.at < until <= found.closing_at:
        raise Invalid(
            "a safety task is not put off past closing time",
            field="until",
            value=until.isoformat(),
            allowed=f"later than now, up to {clock(found.closing_at)}",
        )
    tx.append("task_snoozed", "reminders", {"task": found.id, "person": person, "until": until})


def _open(tx: CommandTransaction, task: int) -> SafetyTask:
    found = lookups.safety_task(task)
    if found.done_at is not None:
        by_whom = person_name(found.done_by)
        raise AlreadyDone(
            f"this was dealt with already: by {by_whom} at {clock(found.done_at)}",
            field="task",
            value=task,
            allowed="an open task",
            extra={"by": by_whom, "at": found.done_at},
        )
    if tx.call.at < found.opened_at:
        raise Invalid(
            f"this lies before the task opened at {clock(found.opened_at)}",
            field="occurred_at",
            value=clock(tx.call.at),
            allowed="later than that",
        )
    return found
