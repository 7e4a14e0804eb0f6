"""Stages and waits from the log."""

from jobs.canonical import read_time
from jobs.models import Event, Stage, Wait
from jobs.models.bases import row_key
from jobs.private import ref


def _stage(event: Event) -> Stage:
    data = event.data
    return Stage.objects.get(piece__number=data["piece"], key=data["stage"])


def started(event: Event) -> None:
    stage, data = _stage(event), event.data
    stage.step, stage.started_at, stage.started_by = Stage.Step.UNDER_WAY, event.occurred_at, event.actor
    stage.measured = {**stage.measured, **data["measured"]}
    stage.overrides = {**stage.overrides, **data["overrides"]}
    stage.save()


def finished(event: Event) -> None:
    stage, data = _stage(event), event.data
    stage.step, stage.finished_at, stage.finished_by = Stage.Step.DONE, event.occurred_at, event.actor
    stage.minutes = data["minutes"]
    stage.measured = {**stage.measured, **data["measured"]}
    stage.overrides = {**stage.overrides, **data["overrides"]}
    stage.remark_ref = ref(data["remark"])
    stage.save()


def put_back(event: Event) -> None:
    stage = _stage(event)
    stage.step, stage.started_at, stage.started_by = Stage.Step.PLANNED, None, ""
    stage.finished_at, stage.finished_by, stage.minutes = None, "", None
    stage.measured, stage.overrides, stage.remark_ref = {}, {}, None
    stage.save()
    stage.waits.exclude(step=Wait.Step.VOID).update(step=Wait.Step.VOID, ended_at=event.occurred_at)


def reopened(event: Event) -> None:
    stage = _stage(event)
    stage.step, stage.finished_at, stage.finished_by = Stage.Step.UNDER_WAY, None, ""
    stage.save()
    stage.waits.exclude(step=Wait.Step.VOID).update(step=Wait.Step.VOID, ended_at=event.occurred_at)


def wait_started(event: Event) -> None:
    stage, data = _stage(event), event.data
    Wait.objects.create(
        id=row_key(event.seq),
        stage=stage,
        kind=data["kind"],
        title=data["title"],
        holds=data["holds"],
        since=read_time(data["since"]),
        ready_s=data["ready_s"],
        closes_s=data["closes_s"],
        basis=data["basis"],
        suspect=data["suspect"],
        reason=data["reason"],
    )
    Stage.objects.filter(id=stage.id).update(step=Stage.Step.WAITING)


def wait_finished(event: Event) -> None:
    wait = Wait.objects.get(id=event.data["wait"])
    wait.step, wait.ended_at = Wait.Step.FINISHED, event.occurred_at
    wait.save()
    done_without_waits(wait.stage, event)


def done_without_waits(stage: Stage, event: Event) -> None:
    """A waiting stage is done with the last of its waits."""
    if stage.step == Stage.Step.WAITING and not stage.waits.filter(step=Wait.Step.RUNNING).exists():
        stage.step = Stage.Step.DONE
        stage.finished_at = stage.finished_at or event.occurred_at
        stage.finished_by = stage.finished_by or event.actor
        stage.save()
