"""Events of pieces and their routes."""

from collections import defaultdict
from dataclasses import dataclass
from uuid import UUID

from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.core.refs import ref
from jobs.core.typed_json import Json, PrivateRef
from jobs.log.projections import rows
from jobs.log.projections.batch import open_batch
from jobs.log.projections.kinds import Payload, Wording, event_kind
from jobs.log.projections.stock.boards import free_reserved
from jobs.log.projections.waits import done_without_waits
from jobs.models import Attempt, Event, Piece, ReminderReply, SafetyTask, Stage, Wait
from jobs.models.bases import row_key


@dataclass(frozen=True, kw_only=True)
class RouteLaid:
    """The template that a route was made from."""

    key: str
    sha256: str


@event_kind("piece_added")
class PieceAdded(Payload):
    """A piece is added, with its results and its route."""

    commission: str
    piece: str
    label: PrivateRef
    inputs: Json
    computed: Json
    route: RouteLaid
    stages: list[Json]

    def project(self, event: Event) -> None:
        piece = Piece(
            id=row_key(event.seq),
            commission_id=rows.commission_id(self.commission),
            number=self.piece,
            label_ref=self.label,
            quantity=self.inputs["quantity"],
            route_key=self.route.key,
            route_sha256=self.route.sha256,
            version=event.seq,
            **self.given("inputs", "computed"),
        )
        rows.add(piece)
        fresh = [_fresh(event, piece, n, spec) for n, spec in enumerate(self.stages)]
        rows.add_many(fresh)
        if batch := open_batch():
            batch.lay(self.piece, fresh)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Piece added: %(label)s") % {"label": tell.text(self.label)}]


@event_kind("piece_changed")
class PieceChanged(Payload):
    """The inputs and results of a piece are replaced; without a route it keeps its present one."""

    piece: str
    label: PrivateRef
    inputs: Json
    computed: Json
    changed: list[Json]
    route: RouteLaid | None
    stages: list[Json] | None

    def project(self, event: Event) -> None:
        piece = Piece.objects.get(number=self.piece)
        piece.label_ref = self.label
        piece.inputs, piece.computed, piece.changed = self.inputs, self.computed, self.changed
        piece.quantity = self.inputs["quantity"]
        piece.revision += 1
        if self.route is not None and self.stages is not None:
            piece.route_key, piece.route_sha256 = self.route.key, self.route.sha256
            piece.route_edited = False
            _lay(event, piece, self.stages)
        piece.save()

    def sentence(self, tell: Wording) -> list[str]:
        count = len(self.changed)
        return [
            _("Piece changed: %(label)s") % {"label": tell.text(self.label)},
            ngettext("%(count)s figure differs", "%(count)s figures differ", count) % {"count": count}
            if count
            else "",
        ]


@event_kind("route_changed")
class RouteChanged(Payload):
    """The route of a piece is changed by hand."""

    piece: str
    stages: list[Json]

    def project(self, event: Event) -> None:
        piece = Piece.objects.get(number=self.piece)
        piece.route_edited = True
        piece.save()
        _lay(event, piece, self.stages)

    def sentence(self, tell: Wording) -> list[str]:
        count = len(self.stages)
        return [
            ngettext(
                "Route changed by hand, %(count)s stage now",
                "Route changed by hand, %(count)s stages now",
                count,
            )
            % {"count": count}
        ]


@event_kind("piece_removed")
class PieceRemoved(Payload):
    """A piece that nobody has begun is removed."""

    piece: str

    def project(self, event: Event) -> None:
        piece = Piece.objects.get(number=self.piece)
        free_reserved(event, [piece.number])
        if batch := open_batch():
            batch.forget(self.piece)
        _drop(piece.stages.all())
        ReminderReply.objects.filter(task__piece=piece).delete()
        SafetyTask.objects.filter(piece=piece).delete()
        piece.delete()

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Piece removed")]


def _lay(event: Event, piece: Piece, stages: list[Json]) -> None:
    """Lay another route: keep the rows of stages that stay, add new ones, delete the rest."""
    if batch := open_batch():
        batch.forget(piece.number)
    kept = {s.key: s for s in piece.stages.all()}
    running = defaultdict(list)
    for wait in Wait.objects.filter(stage__in=kept.values(), step=Wait.Step.RUNNING):
        running[wait.stage_id].append(wait)
    fresh = []
    for n, spec in enumerate(stages):
        if known := kept.pop(spec["key"], None):
            _change(known, _columns(n, spec))
            _hold_again(event, piece, known, running[known.id])
        else:
            fresh.append(_fresh(event, piece, n, spec))
    rows.add_many(fresh)
    if kept:
        _drop(Stage.objects.filter(id__in=[s.id for s in kept.values()]))


def _columns(n: int, spec: Json) -> Json:
    """Return the columns of the n-th stage of a route."""
    return {
        "position": n,
        "title_ref": ref(spec.get("title_private")) or _uuid(spec.get("title_ref")),
        "spec": {k: v for k, v in spec.items() if k not in ("title_private", "title_ref")},
    }


def _fresh(event: Event, piece: Piece, n: int, spec: Json) -> Stage:
    return Stage(id=row_key(event.seq, n), piece=piece, key=spec["key"], **_columns(n, spec))


def _uuid(text: str | None) -> UUID | None:
    return UUID(text) if text else None


def _change(stage: Stage, fields: Json) -> None:
    """Write the changed fields of a stage and no others."""
    changed = {name: value for name, value in fields.items() if getattr(stage, name) != value}
    for name, value in changed.items():
        setattr(stage, name, value)
    if changed:
        stage.save(update_fields=changed)


def _hold_again(event: Event, piece: Piece, stage: Stage, running: list[Wait]) -> None:
    """Let a running wait hold its stage's present followers; void it where there are none."""
    holds = {w["kind"]: w["holds"] for w in stage.spec["waits"]}
    for wait in running:
        wait.holds = holds.get(wait.kind, [])
        if not wait.holds:
            wait.step, wait.ended_at = Wait.Step.VOID, event.occurred_at
        wait.save(update_fields=["holds", "step", "ended_at"])
    done_without_waits(piece.number, stage, event)


def _drop(stages: QuerySet[Stage]) -> None:
    Attempt.objects.filter(stage__in=stages).delete()
    ReminderReply.objects.filter(wait__stage__in=stages).delete()
    Wait.objects.filter(stage__in=stages).delete()
    stages.delete()
