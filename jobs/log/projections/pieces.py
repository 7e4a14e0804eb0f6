"""Pieces and their routes from the log."""

from typing import Any

from django.db.models import QuerySet

from jobs.core.refs import ref
from jobs.log.projections.boards import free_reserved
from jobs.log.projections.stages import done_without_waits
from jobs.models import Attempt, Commission, Event, Piece, ReminderReply, SafetyTask, Stage, Wait
from jobs.models.bases import row_key


def added(event: Event) -> None:
    data = event.data
    piece = Piece.objects.create(
        id=row_key(event.seq),
        commission=Commission.objects.get(number=data["commission"]),
        number=data["piece"],
        label_ref=ref(data["label"]),
        quantity=data["inputs"]["quantity"],
        inputs=data["inputs"],
        computed=data["computed"],
        changed=[],
        route_key=data["route"]["key"],
        route_sha256=data["route"]["sha256"],
        version=event.seq,
    )
    _lay(event, piece, data["stages"])


def changed(event: Event) -> None:
    data = event.data
    piece = Piece.objects.get(number=data["piece"])
    piece.label_ref = ref(data["label"])
    piece.inputs, piece.computed, piece.changed = data["inputs"], data["computed"], data["changed"]
    piece.quantity = data["inputs"]["quantity"]
    piece.revision += 1
    if data["stages"] is not None:
        piece.route_key, piece.route_sha256 = data["route"]["key"], data["route"]["sha256"]
        piece.route_edited = False
        _lay(event, piece, data["stages"])
    piece.save()


def route_changed(event: Event) -> None:
    piece = Piece.objects.get(number=event.data["piece"])
    piece.route_edited = True
    piece.save()
    _lay(event, piece, event.data["stages"])


def removed(event: Event) -> None:
    piece = Piece.objects.get(number=event.data["piece"])
    free_reserved(event, [piece.number])
    _drop(piece.stages.all())
    ReminderReply.objects.filter(task__piece=piece).delete()
    SafetyTask.objects.filter(piece=piece).delete()
    piece.delete()


def _lay(event: Event, piece: Piece, stages: list[dict[str, Any]]) -> None:
    """Lay a route: rows of stages that stay are kept, the rest are made or go."""
    kept = {s.key: s for s in piece.stages.all()}
    fresh = []
    for n, spec in enumerate(stages):
        known = kept.pop(spec["key"], None)
        stage = known or Stage(id=row_key(event.seq, n), piece=piece, key=spec["key"])
        stage.position = n
        stage.title_ref = ref(spec.get("title_private")) or spec.get("title_ref")
        stage.spec = {k: v for k, v in spec.items() if k not in ("title_private", "title_ref")}
        if known:
            stage.save()
            _hold_anew(event, stage)
        else:
            fresh.append(stage)
    Stage.objects.bulk_create(fresh)
    _drop(Stage.objects.filter(id__in=[s.id for s in kept.values()]))


def _hold_anew(event: Event, stage: Stage) -> None:
    """A running wait holds what comes after its stage on the route as it is now; for nothing it is void."""
    holds = {w["kind"]: w["holds"] for w in stage.spec["waits"]}
    for wait in stage.waits.filter(step=Wait.Step.RUNNING):
        wait.holds = holds.get(wait.kind, [])
        if not wait.holds:
            wait.step, wait.ended_at = Wait.Step.VOID, event.occurred_at
        wait.save()
    done_without_waits(stage, event)


def _drop(stages: QuerySet[Stage]) -> None:
    Attempt.objects.filter(stage__in=stages).delete()
    ReminderReply.objects.filter(wait__stage__in=stages).delete()
    Wait.objects.filter(stage__in=stages).delete()
    stages.delete()
