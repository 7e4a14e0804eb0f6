"""Events of waits."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from jobs.core.typed_json import Json, PrivateRef
from jobs.log.projections import rows
from jobs.log.projections.batch import Steps, open_batch
from jobs.log.projections.kinds import OfStage, Wording, event_kind
from jobs.models import Event, Stage, Wait
from jobs.models.bases import row_key

TIMES = ("ready_s", "closes_s", "basis", "suspect", "reason")


@event_kind("wait_started", keeps_routes=True)
class WaitStarted(OfStage):
    """A wait of a stage begins."""

    kind: str
    title: str
    holds: list[str]
    since: datetime
    ready_s: int | None
    closes_s: int | None
    basis: Json
    suspect: bool
    reason: str

    def project(self, event: Event) -> None:
        stage = self.row()
        wait = Wait(
            id=row_key(event.seq), stage=stage, **self.given("kind", "title", "holds", "since", *TIMES)
        )
        rows.add(wait)
        if stage.step != Stage.Step.WAITING:
            rows.change(stage, step=Stage.Step.WAITING)
        if (steps := _steps(stage)) is not None:
            steps[wait.id] = wait.step
        if known := rows.held(self.piece):
            known.begin(wait)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(title)s: began") % {"title": self.title}, self.reason]


@dataclass(frozen=True, kw_only=True)
class OfWait(OfStage):
    """The payload of an event about one wait."""

    wait: int

    def change(self, event: Event, fields: dict[str, Any]) -> None:
        """Write these fields of the wait; its route is read again."""
        rows.update(Wait, self.wait, **fields)
        rows.release(event)


@event_kind("wait_changed", keeps_routes=True)
class WaitChanged(OfWait):
    """A running wait is recalculated."""

    ready_s: int | None
    closes_s: int | None
    basis: Json
    suspect: bool
    reason: str

    def project(self, event: Event) -> None:
        self.change(event, self.given(*TIMES))

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(stage)s: its wait was recalculated") % {"stage": self.stage_title(tell)}, self.reason]


@event_kind("wait_start_corrected", keeps_routes=True)
class WaitStartCorrected(OfWait):
    """The start of a wait is corrected."""

    since: datetime
    was: datetime
    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        self.change(event, self.given("since"))

    def sentence(self, tell: Wording) -> list[str]:
        return [
            _("%(stage)s: its wait began at another time") % {"stage": self.stage_title(tell)},
            tell.text(self.reason),
        ]


@dataclass(frozen=True, kw_only=True)
class Exposure:
    """The measured air that a wait went through, and its equivalent age beside the age it needed."""

    place: str
    quarters: int
    sha256: str
    mean_c: Decimal
    least_c: Decimal
    age_s: int
    need_s: int


@event_kind("wait_finished", version=2, keeps_routes=True)
class WaitFinished(OfWait):
    """A wait ends; ``air`` is the measured air that it goes through."""

    reason: PrivateRef | None
    ready_at_told: datetime | None
    air: Exposure | None

    def project(self, event: Event) -> None:
        rows.update(Wait, self.wait, step=Wait.Step.FINISHED, ended_at=event.occurred_at)
        stage = self.row()
        if (steps := _steps(stage)) is not None:
            steps[self.wait] = Wait.Step.FINISHED
        if known := rows.held(self.piece):
            known.end(self.wait)
        done_without_waits(self.piece, stage, event)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(stage)s: wait over") % {"stage": self.stage_title(tell)}, tell.text(self.reason)]


@event_kind("wait_end_taken_back")
class WaitEndTakenBack(OfWait):
    """The end of a wait is taken back: it runs on as if nobody had ended it."""

    def project(self, event: Event) -> None:
        stage = self.row()
        if (steps := _steps(stage)) is not None:
            steps[self.wait] = Wait.Step.RUNNING
        if stage.step == Stage.Step.DONE:
            by_itself = {"finished_at": None, "finished_by": ""} if stage.spec["passive"] else {}
            rows.change(stage, step=Stage.Step.WAITING, **by_itself)
        self.change(event, {"step": Wait.Step.RUNNING, "ended_at": None})

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(stage)s: its wait runs on") % {"stage": self.stage_title(tell)}]


def void_waits(piece: str, stage: Stage, event: Event) -> None:
    """Void the running and finished waits of a stage."""
    steps = _steps(stage)
    if steps is None:
        stage.waits.exclude(step=Wait.Step.VOID).update(step=Wait.Step.VOID, ended_at=event.occurred_at)
    for key in list(steps or ()):
        rows.update(Wait, key, step=Wait.Step.VOID, ended_at=event.occurred_at)
    if steps:
        steps.clear()
    if known := rows.held(piece):
        known.end(*(wait.id for wait in known.waits if wait.stage_id == stage.id))


def done_without_waits(piece: str, stage: Stage, event: Event) -> None:
    """Mark a waiting stage as done once its last wait has ended."""
    if stage.step == Stage.Step.WAITING and not _has_waits(piece, stage):
        rows.change(
            stage,
            step=Stage.Step.DONE,
            finished_at=stage.finished_at or event.occurred_at,
            finished_by=stage.finished_by or event.actor,
        )


def _steps(stage: Stage) -> Steps | None:
    """Return the steps of a stage's waits, where a rebuild holds them."""
    batch = open_batch()
    return batch.waits(stage) if batch else None


def _has_waits(piece: str, stage: Stage) -> bool:
    if (steps := _steps(stage)) is not None:
        return Wait.Step.RUNNING in steps.values()
    known = rows.held(piece)
    if known is not None:
        return any(wait.stage_id == stage.id for wait in known.waits)
    return stage.waits.filter(step=Wait.Step.RUNNING).exists()
