"""Stages and waits from the log."""

from typing import Any

from jobs.core.canonical_json import read_time
from jobs.core.refs import ref
from jobs.log.projections import rows
from jobs.models import Attempt, Event, Piece, Stage, Wait
from jobs.models.bases import row_key

ON_RECORD = (
    "started_at", "started_by", "finished_at", "finished_by",
    "minutes", "measured", "overrides", "remark_ref",
)  # fmt: skip

PLANNED_AGAIN: dict[str, Any] = {
    "step": Stage.Step.PLANNED, "started_at": None, "started_by": "", "finished_at": None, "finished_by": "",
    "minutes": None, "worked_s": 0, "resumed_at": None, "measured": {}, "overrides": {}, "remark_ref": None,
}  # fmt: skip
"""What a stage holds before it is begun."""


def _stage(event: Event) -> Stage:
    return rows.stage(event.data["piece"], event.data["stage"])


def _more(stage: Stage, data: dict[str, Any]) -> dict[str, Any]:
    """Return what was measured and passed with a reason, beside what was there."""
    return {
        "measured": {**stage.measured, **data["measured"]},
        "overrides": {**stage.overrides, **data["overrides"]},
    }


def started(event: Event) -> None:
    stage = _stage(event)
    rows.change(
        stage,
        step=Stage.Step.UNDER_WAY,
        started_at=event.occurred_at,
        started_by=event.actor,
        worked_s=0,
        resumed_at=event.occurred_at,
        **_more(stage, event.data),
    )


def finished(event: Event) -> None:
    stage, data = _stage(event), event.data
    rows.change(
        stage,
        step=Stage.Step.DONE,
        finished_at=event.occurred_at,
        finished_by=event.actor,
        minutes=data["minutes"],
        resumed_at=None,
        remark_ref=ref(data["remark"]),
        **_more(stage, data),
    )


def paused(event: Event) -> None:
    stage = _stage(event)
    assert stage.resumed_at is not None
    worked_s = max(0, int((event.occurred_at - stage.resumed_at).total_seconds()))
    rows.change(stage, worked_s=stage.worked_s + worked_s, resumed_at=None)


def resumed(event: Event) -> None:
    rows.change(_stage(event), resumed_at=event.occurred_at)


def skipped(event: Event) -> None:
    rows.change(
        _stage(event),
        step=Stage.Step.SKIPPED,
        finished_at=event.occurred_at,
        finished_by=event.actor,
        remark_ref=ref(event.data["reason"]),
    )


def put_back(event: Event) -> None:
    stage = _stage(event)
    rows.change(stage, **PLANNED_AGAIN)
    _void_waits(stage, event)


def reopened(event: Event) -> None:
    stage = _stage(event)
    rows.change(
        stage,
        step=Stage.Step.UNDER_WAY,
        finished_at=None,
        finished_by="",
        worked_s=60 * (stage.minutes or 0),
        resumed_at=event.occurred_at,
    )
    _void_waits(stage, event)


def redone(event: Event) -> None:
    """Every stage named goes on record as it went, and is planned again as a new attempt."""
    data = event.data
    for n, key in enumerate(data["again"]):
        stage = rows.stage(data["piece"], key)
        Attempt.objects.create(
            id=row_key(event.seq, n),
            stage=stage,
            number=stage.attempt,
            redone_at=event.occurred_at,
            reason_ref=ref(data["reason"]),
            **{name: getattr(stage, name) for name in ON_RECORD},
        )
        rows.change(stage, **PLANNED_AGAIN, attempt=stage.attempt + 1)
        _void_waits(stage, event)
    if data["piece_now"] is not None:
        piece = Piece.objects.get(number=data["piece"])
        for name, value in data["piece_now"].items():
            setattr(piece, name, value)
        piece.revision += 1
        piece.save()


def corrected(event: Event) -> None:
    stage, data = _stage(event), event.data
    rows.change(stage, **_more(stage, {**data, "measured": {data["gate"]: data["value"]}}))


def measured_later(event: Event) -> None:
    """A measurement that was left open at the finish; it has no value where nobody knows it."""
    stage, data = _stage(event), event.data
    measured = {} if data["value"] is None else {data["gate"]: data["value"]}
    rows.change(stage, **_more(stage, {**data, "measured": measured}))


def _void_waits(stage: Stage, event: Event) -> None:
    batch = rows.batch()
    if batch and not batch.has_waits(stage):
        return
    stage.waits.exclude(step=Wait.Step.VOID).update(step=Wait.Step.VOID, ended_at=event.occurred_at)
    if batch:
        batch.note_waits(stage, any_left=False)
    if known := rows.held(event.data["piece"]):
        known.end(*(wait.id for wait in known.waits if wait.stage_id == stage.id))


def wait_started(event: Event) -> None:
    stage, data = _stage(event), event.data
    wait = Wait.objects.create(
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
    if stage.step != Stage.Step.WAITING:
        rows.change(stage, step=Stage.Step.WAITING)
    if batch := rows.batch():
        batch.note_waits(stage, any_left=True)
    if known := rows.held(data["piece"]):
        known.begin(wait)


def wait_changed(event: Event) -> None:
    names = ("ready_s", "closes_s", "basis", "suspect", "reason")
    _change_wait(event, {name: event.data[name] for name in names})


def wait_start_corrected(event: Event) -> None:
    _change_wait(event, {"since": read_time(event.data["since"])})


def _change_wait(event: Event, fields: dict[str, Any]) -> None:
    Wait.objects.filter(id=event.data["wait"]).update(**fields)
    rows.release(event)


def wait_finished(event: Event) -> None:
    key = event.data["wait"]
    Wait.objects.filter(id=key).update(step=Wait.Step.FINISHED, ended_at=event.occurred_at)
    if known := rows.held(event.data["piece"]):
        known.end(key)
    done_without_waits(_stage(event), event)


def done_without_waits(stage: Stage, event: Event) -> None:
    """A waiting stage is done with the last of its waits."""
    if stage.step == Stage.Step.WAITING and not _has_waits(stage, event):
        rows.change(
            stage,
            step=Stage.Step.DONE,
            finished_at=stage.finished_at or event.occurred_at,
            finished_by=stage.finished_by or event.actor,
        )


def _has_waits(stage: Stage, event: Event) -> bool:
    known = rows.held(event.data["piece"])
    if known is not None:
        return any(wait.stage_id == stage.id for wait in known.waits)
    return stage.waits.filter(step=Wait.Step.RUNNING).exists()
