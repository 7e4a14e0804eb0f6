"""Stages and waits from the log."""

from jobs.core.canonical_json import read_time
from jobs.core.refs import ref
from jobs.models import Attempt, Event, Piece, Stage, Wait
from jobs.models.bases import row_key

ON_RECORD = (
    "started_at", "started_by", "finished_at", "finished_by",
    "minutes", "measured", "overrides", "remark_ref",
)  # fmt: skip


def _stage(event: Event) -> Stage:
    data = event.data
    return Stage.objects.get(piece__number=data["piece"], key=data["stage"])


def started(event: Event) -> None:
    stage, data = _stage(event), event.data
    stage.step, stage.started_at, stage.started_by = Stage.Step.UNDER_WAY, event.occurred_at, event.actor
    stage.worked_s, stage.resumed_at = 0, event.occurred_at
    stage.measured = {**stage.measured, **data["measured"]}
    stage.overrides = {**stage.overrides, **data["overrides"]}
    stage.save()


def finished(event: Event) -> None:
    stage, data = _stage(event), event.data
    stage.step, stage.finished_at, stage.finished_by = Stage.Step.DONE, event.occurred_at, event.actor
    stage.minutes, stage.resumed_at = data["minutes"], None
    stage.measured = {**stage.measured, **data["measured"]}
    stage.overrides = {**stage.overrides, **data["overrides"]}
    stage.remark_ref = ref(data["remark"])
    stage.save()


def paused(event: Event) -> None:
    stage = _stage(event)
    assert stage.resumed_at is not None
    stage.worked_s += max(0, int((event.occurred_at - stage.resumed_at).total_seconds()))
    stage.resumed_at = None
    stage.save()


def resumed(event: Event) -> None:
    stage = _stage(event)
    stage.resumed_at = event.occurred_at
    stage.save()


def skipped(event: Event) -> None:
    stage = _stage(event)
    stage.step, stage.finished_at, stage.finished_by = Stage.Step.SKIPPED, event.occurred_at, event.actor
    stage.remark_ref = ref(event.data["reason"])
    stage.save()


def put_back(event: Event) -> None:
    stage = _stage(event)
    _plan_again(stage, event)
    stage.save()


def reopened(event: Event) -> None:
    stage = _stage(event)
    stage.step, stage.finished_at, stage.finished_by = Stage.Step.UNDER_WAY, None, ""
    stage.worked_s, stage.resumed_at = 60 * (stage.minutes or 0), event.occurred_at
    stage.save()
    _void_waits(stage, event)


def redone(event: Event) -> None:
    """Every stage named goes on record as it went, and is planned again as a new attempt."""
    data = event.data
    for n, key in enumerate(data["again"]):
        stage = Stage.objects.get(piece__number=data["piece"], key=key)
        Attempt.objects.create(
            id=row_key(event.seq, n),
            stage=stage,
            number=stage.attempt,
            redone_at=event.occurred_at,
            reason_ref=ref(data["reason"]),
            **{name: getattr(stage, name) for name in ON_RECORD},
        )
        _plan_again(stage, event)
        stage.attempt += 1
        stage.save()
    if data["piece_now"] is not None:
        piece = Piece.objects.get(number=data["piece"])
        for name, value in data["piece_now"].items():
            setattr(piece, name, value)
        piece.revision += 1
        piece.save()


def corrected(event: Event) -> None:
    stage, data = _stage(event), event.data
    stage.measured = {**stage.measured, data["gate"]: data["value"]}
    stage.overrides = {**stage.overrides, **data["overrides"]}
    stage.save()


def measured_later(event: Event) -> None:
    """A measurement that was left open at the finish; it has no value where nobody knows it."""
    stage, data = _stage(event), event.data
    if data["value"] is not None:
        stage.measured = {**stage.measured, data["gate"]: data["value"]}
    stage.overrides = {**stage.overrides, **data["overrides"]}
    stage.save()


def _plan_again(stage: Stage, event: Event) -> None:
    stage.step, stage.started_at, stage.started_by = Stage.Step.PLANNED, None, ""
    stage.finished_at, stage.finished_by, stage.minutes = None, "", None
    stage.worked_s, stage.resumed_at = 0, None
    stage.measured, stage.overrides, stage.remark_ref = {}, {}, None
    _void_waits(stage, event)


def _void_waits(stage: Stage, event: Event) -> None:
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


def wait_changed(event: Event) -> None:
    data = event.data
    Wait.objects.filter(id=data["wait"]).update(
        **{name: data[name] for name in ("ready_s", "closes_s", "basis", "suspect", "reason")}
    )


def wait_start_corrected(event: Event) -> None:
    Wait.objects.filter(id=event.data["wait"]).update(since=read_time(event.data["since"]))


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
