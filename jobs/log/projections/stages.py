"""Events of stages and their measurements."""

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from jobs.core.refs import ref
from jobs.core.typed_json import Json, KeptText, PrivateRef
from jobs.log.projections import rows
from jobs.log.projections.kinds import OfStage, Wording, event_kind
from jobs.log.projections.waits import void_waits
from jobs.models import Attempt, Event, Piece, Stage
from jobs.models.bases import row_key

ON_RECORD = (
    "started_at", "started_by", "finished_at", "finished_by",
    "minutes", "measured", "overrides", "closings", "remark_ref",
)  # fmt: skip

PLANNED_AGAIN: dict[str, Any] = {
    "step": Stage.Step.PLANNED, "started_at": None, "started_by": "", "finished_at": None, "finished_by": "",
    "minutes": None, "worked_s": 0, "resumed_at": None, "measured": {}, "overrides": {}, "left_open": [],
    "closings": {}, "remark_ref": None,
}  # fmt: skip
"""The columns of a stage before it is begun."""


@dataclass(frozen=True, kw_only=True)
class Measured(OfStage):
    """The payload of an event with measurements and overridden gates."""

    measured: dict[str, Json]
    overrides: dict[str, KeptText | None]

    def details(self, tell: Wording) -> list[str]:
        """Return the measurements, and each overridden gate with its reason."""
        at = (self.piece, self.stage)
        measured = [
            f"{tell.gate(*at, key)}: {tell.measure(*at, key, stored)}"
            for key, stored in self.measured.items()
        ]
        passed = [
            _("%(gate)s passed over: %(why)s") % {"gate": tell.gate(*at, key), "why": tell.text(ref(why))}
            for key, why in self.overrides.items()
        ]
        return measured + passed


def _more(stage: Stage, measured: dict[str, Json], overrides: dict[str, KeptText | None]) -> dict[str, Any]:
    """Return the stage's measurements and overrides, extended by those of the event."""
    return {
        "measured": {**stage.measured, **measured},
        "overrides": {**stage.overrides, **overrides},
    }


@event_kind("stage_started", keeps_routes=True)
class StageStarted(Measured):
    """A stage is started; a passive one starts automatically."""

    auto: bool

    def project(self, event: Event) -> None:
        stage = self.row()
        rows.change(
            stage,
            step=Stage.Step.UNDER_WAY,
            started_at=event.occurred_at,
            started_by=event.actor,
            worked_s=0,
            resumed_at=event.occurred_at,
            **_more(stage, self.measured, self.overrides),
        )

    def sentence(self, tell: Wording) -> list[str]:
        says = _("%(stage)s: started by itself") if self.auto else _("%(stage)s: started")
        return [says % {"stage": self.stage_title(tell)}, *self.details(tell)]


@event_kind("stage_finished", keeps_routes=True)
class StageFinished(Measured):
    """The work of a stage is finished."""

    minutes: int | None
    remark: PrivateRef | None

    def project(self, event: Event) -> None:
        stage = self.row()
        rows.change(
            stage,
            step=Stage.Step.DONE,
            finished_at=event.occurred_at,
            finished_by=event.actor,
            minutes=self.minutes,
            resumed_at=None,
            remark_ref=self.remark,
            **_more(stage, self.measured, self.overrides),
        )

    def sentence(self, tell: Wording) -> list[str]:
        says = _("%(stage)s: finished after %(minutes)s min") if self.minutes else _("%(stage)s: finished")
        return [
            says % {"stage": self.stage_title(tell), "minutes": self.minutes},
            *self.details(tell),
            tell.text(self.remark),
        ]


@event_kind("stage_timed", keeps_routes=True)
class StageTimed(OfStage):
    """The minutes of a finished stage are said afterwards."""

    minutes: int

    def project(self, event: Event) -> None:
        rows.change(self.row(), minutes=self.minutes)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(stage)s: %(min)s min") % {"stage": self.stage_title(tell), "min": self.minutes}]


@event_kind("stage_paused", keeps_routes=True)
class StagePaused(OfStage):
    """The work of a stage is paused."""

    def project(self, event: Event) -> None:
        stage = self.row()
        assert stage.resumed_at is not None
        worked_s = max(0, int((event.occurred_at - stage.resumed_at).total_seconds()))
        rows.change(stage, worked_s=stage.worked_s + worked_s, resumed_at=None)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(stage)s: paused") % {"stage": self.stage_title(tell)}]


@event_kind("stage_resumed", keeps_routes=True)
class StageResumed(OfStage):
    """The work of a stage is resumed."""

    def project(self, event: Event) -> None:
        rows.change(self.row(), resumed_at=event.occurred_at)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(stage)s: went on") % {"stage": self.stage_title(tell)}]


@event_kind("stage_skipped", keeps_routes=True)
class StageSkipped(OfStage):
    """A stage is skipped on this piece."""

    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        rows.change(
            self.row(),
            step=Stage.Step.SKIPPED,
            finished_at=event.occurred_at,
            finished_by=event.actor,
            remark_ref=self.reason,
        )

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(stage)s: skipped") % {"stage": self.stage_title(tell)}, tell.text(self.reason)]


@event_kind("stage_put_back", keeps_routes=True)
class StagePutBack(OfStage):
    """The start or the skipping of a stage is undone."""

    def project(self, event: Event) -> None:
        stage = self.row()
        rows.change(stage, **PLANNED_AGAIN)
        void_waits(self.piece, stage, event)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(stage)s: put back, as if it had not been started") % {"stage": self.stage_title(tell)}]


@event_kind("stage_reopened", keeps_routes=True)
class StageReopened(OfStage):
    """A finished stage is reopened and is under way again."""

    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        stage = self.row()
        rows.change(
            stage, step=Stage.Step.UNDER_WAY, finished_at=None, finished_by="", left_open=[],
            worked_s=60 * (stage.minutes or 0), resumed_at=event.occurred_at,
        )  # fmt: skip
        void_waits(self.piece, stage, event)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(stage)s: reopened") % {"stage": self.stage_title(tell)}, tell.text(self.reason)]


@dataclass(frozen=True, kw_only=True)
class Narrower:
    """A piece without the width that ripped joints cost."""

    inputs: Json
    computed: Json
    changed: list[Json]


@event_kind("stage_redone")
class StageRedone(OfStage):
    """Stages are recorded as attempts and planned again as new ones."""

    reason: PrivateRef | None
    again: list[str]
    piece_now: Narrower | None

    def project(self, event: Event) -> None:
        for n, key in enumerate(self.again):
            stage = rows.stage(self.piece, key)
            rows.add(
                Attempt(
                    id=row_key(event.seq, n),
                    stage=stage,
                    number=stage.attempt,
                    redone_at=event.occurred_at,
                    reason_ref=self.reason,
                    **{name: getattr(stage, name) for name in ON_RECORD},
                )
            )
            rows.change(stage, **PLANNED_AGAIN, attempt=stage.attempt + 1)
            void_waits(self.piece, stage, event)
        if self.piece_now is not None:
            piece = Piece.objects.get(number=self.piece)
            for name, value in vars(self.piece_now).items():
                setattr(piece, name, value)
            piece.revision += 1
            piece.save()

    def sentence(self, tell: Wording) -> list[str]:
        others = ", ".join(tell.stage(self.piece, key) for key in self.again if key != self.stage)
        return [
            _("%(stage)s: to be done again") % {"stage": self.stage_title(tell)},
            tell.text(self.reason),
            _("Planned again with it: %(others)s") % {"others": others} if others else "",
            _("Width lost to ripped joints, figured again") if self.piece_now else "",
        ]


@event_kind("measurement_corrected", keeps_routes=True)
class MeasurementCorrected(OfStage):
    """A mistaken measurement is replaced."""

    gate: str
    value: Json
    was: Json
    reason: PrivateRef | None
    overrides: dict[str, KeptText | None]

    def project(self, event: Event) -> None:
        stage = self.row()
        rows.change(stage, **_more(stage, {self.gate: self.value}, self.overrides))

    def sentence(self, tell: Wording) -> list[str]:
        says = _("%(stage)s: %(title)s corrected, %(was)s to %(now)s") % {
            "stage": self.stage_title(tell),
            "title": tell.gate(self.piece, self.stage, self.gate),
            "was": tell.amount(self.was),
            "now": tell.amount(self.value),
        }
        passed = [
            _("Taken outside its limits: %(why)s") % {"why": tell.text(ref(why))}
            for why in self.overrides.values()
        ]
        return [says, tell.text(self.reason), *passed]


@event_kind("measurement_added", keeps_routes=True)
class MeasurementAdded(OfStage):
    """A measurement that the finish left open is added; it has no value where nobody knows it."""

    gate: str
    value: Json | None
    overrides: dict[str, KeptText | None]

    def project(self, event: Event) -> None:
        stage = self.row()
        measured = {} if self.value is None else {self.gate: self.value}
        rows.change(stage, **_more(stage, measured, self.overrides))

    def sentence(self, tell: Wording) -> list[str]:
        says = _("%(stage)s: %(title)s said afterwards, %(value)s") % {
            "stage": self.stage_title(tell),
            "title": tell.gate(self.piece, self.stage, self.gate),
            "value": tell.amount(self.value) if self.value else _("not known"),
        }
        passed = [
            _("Taken all the same: %(why)s") % {"why": tell.text(ref(why))} for why in self.overrides.values()
        ]
        return [says, *passed]
