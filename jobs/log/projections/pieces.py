"""Pieces and their routes from the log."""

from collections import defaultdict
from typing import Any
from uuid import UUID

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
    running = defaultdict(list)
    for wait in Wait.objects.filter(stage__in=kept.values(), step=Wait.Step.RUNNING):
        running[wait.stage_id].append(wait)
    fresh = []
    for n, spec in enumerate(stages):
        fields = {
            "position": n,
            "title_ref": ref(spec.get("title_private")) or _uuid(spec.get("title_ref")),
            "spec": {k: v for k, v in spec.items() if k not in ("title_private", "title_ref")},
        }
        if known := kept.pop(spec["key"], None):
            _change(known, fields)
            _hold_anew(event, known, running[known.id])
        else:
            fresh.append(Stage(id=row_key(event.seq, n), piece=piece, key=spec["key"], **fields))
    Stage.objects.bulk_create(fresh)
    _drop(Stage.objects.filter(id__in=[s.id for s in kept.values()]))


def _uuid(text: str | None) -> UUID | None:
    return UUID(text) if text else None


def _change(stage: Stage, fields: dict[str, Any]) -> None:
    """Write what is otherwise of a stage, and only that."""
    changed = {name: value for name, value in fields.items() if getattr(stage, name) != value}
    for name, value in changed.items():
        setattr(stage, name, value)
    if changed:
        stage.save(update_fields=changed)


def _hold_anew(event: Event, stage: Stage, running: list[Wait]) -> None:
    """A running wait holds what comes after its stage on the route as it is now; for nothing it is void."""
    holds = {w["kind"]: w["holds"] for w in stage.spec["waits"]}
    for wait in running:
        wait.holds = holds.get(wait.kind, [])
        if not wait.holds:
            wait.step, wait.ended_at = Wait.Step.VOID, event.occurred_at
        wait.save(update_fields=["holds", "step", "ended_at"])
    done_without_waits(stage, event)


def _drop(stages: QuerySet[Stage]) -> None:
    Attempt.objects.filter(stage__in=stages).delete()
    ReminderReply.objects.filter(wait__stage__in=stages).delete()
    Wait.objects.filter(stage__in=stages).delete()
    stages.delete()
