"""Events of equipment and its holds, and of what happens in clamps: joints closed, gates left open."""

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.core.canonical_json import plain
from jobs.core.typed_json import ABSENT, Absence, PrivateRef
from jobs.log.projections import rows
from jobs.log.projections.kinds import OfStage, Payload, Wording, event_kind
from jobs.models import Equipment, Event, Hold, Stage
from jobs.models.bases import row_key


def count_words(kind: str, count: int) -> str:
    """Return a number of clamps or places in words."""
    says = {
        "clamp": ngettext("%(count)s clamp", "%(count)s clamps", count),
        "bench place": ngettext("%(count)s bench place", "%(count)s bench places", count),
        "finishing room place": ngettext(
            "%(count)s finishing room place", "%(count)s finishing room places", count
        ),
    }
    return says[kind] % {"count": count}


@event_kind("equipment_added")
class EquipmentAdded(Payload):
    """Clamps of one reach, or places, are added."""

    kind: str
    count: int
    reach_len: int | None
    name: PrivateRef | None
    clamp_kind: str | Absence = ABSENT

    def project(self, event: Event) -> None:
        rows.add(
            Equipment(
                id=row_key(event.seq),
                kind=self.kind,
                name_ref=self.name,
                reach_len=self.reach_len,
                **self.given("clamp_kind"),
                count=self.count,
                version=event.seq,
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(count)s added") % {"count": count_words(self.kind, self.count)}, tell.text(self.name)]


@dataclass(frozen=True, kw_only=True)
class OfEquipment(Payload):
    """The payload of an event about clamps of one reach, or places."""

    equipment: int

    def change(self, event: Event, **fields: object) -> None:
        """Write these fields of the equipment and its new version."""
        rows.update(Equipment, self.equipment, version=event.seq, **fields)


@event_kind("equipment_changed")
class EquipmentChanged(OfEquipment):
    """Count, reach, kind of clamp or name are replaced; fields left out stay."""

    count: int | Absence = ABSENT
    reach_len: int | None | Absence = ABSENT
    clamp_kind: str | Absence = ABSENT
    name: PrivateRef | None | Absence = ABSENT

    def project(self, event: Event) -> None:
        fields = self.given("reach_len", "clamp_kind", "count")
        if self.name is not ABSENT:
            fields["name_ref"] = self.name
        self.change(event, **fields)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Equipment changed")]


@event_kind("equipment_retired")
class EquipmentRetired(OfEquipment):
    """Equipment is retired."""

    def project(self, event: Event) -> None:
        self.change(event, retired_at=event.occurred_at)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Equipment out of use")]


@dataclass(frozen=True, kw_only=True)
class Taken:
    """A number of clamps that a stage takes."""

    equipment: int
    count: int


@event_kind("equipment_taken", keeps_routes=True)
class EquipmentTaken(OfStage):
    """A stage takes clamps."""

    taken: list[Taken]

    def project(self, event: Event) -> None:
        stage = Stage.objects.get(piece__number=self.piece, key=self.stage)
        for n, one in enumerate(self.taken):
            rows.add(
                Hold(
                    id=row_key(event.seq, n),
                    equipment_id=one.equipment,
                    stage=stage,
                    count=one.count,
                    since=event.occurred_at,
                )
            )

    def sentence(self, tell: Wording) -> list[str]:
        return [
            _("%(stage)s: %(taken)s taken")
            % {
                "stage": self.stage_title(tell),
                "taken": count_words("clamp", sum(one.count for one in self.taken)),
            }
        ]


@event_kind("equipment_freed", keeps_routes=True)
class EquipmentFreed(OfStage):
    """A stage frees its clamps."""

    def project(self, event: Event) -> None:
        Hold.objects.filter(stage__piece__number=self.piece, stage__key=self.stage).delete()

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(stage)s: clamps free again") % {"stage": self.stage_title(tell)}]


def free_all(pieces: list[str]) -> None:
    """Free the equipment of pieces that will not be made."""
    Hold.objects.filter(stage__piece__number__in=pieces).delete()


@event_kind("gates_left_open", keeps_routes=True)
class GatesLeftOpen(OfStage):
    """A stage at the clamps is finished without an answer to these gates; it asks for them later."""

    gates: list[str]

    def project(self, event: Event) -> None:
        rows.change(self.row(), left_open=self.gates)

    def sentence(self, tell: Wording) -> list[str]:
        titles = [tell.gate(self.piece, self.stage, key) for key in self.gates]
        says = _("%(stage)s: not answered at the clamps, asked afterwards")
        return [says % {"stage": self.stage_title(tell)}, ", ".join(titles)]


@dataclass(frozen=True, kw_only=True)
class JointClosed:
    """One joint, by the strips that meet in it, and when it was closed."""

    joint: str
    at: datetime


@event_kind("joints_closed", keeps_routes=True)
class JointsClosed(OfStage):
    """The joints of a glue-up were closed one by one; the open time is that of the air of then."""

    glue_on: datetime
    open_s: int | None
    joints: list[JointClosed]

    def project(self, event: Event) -> None:
        joints = [{"joint": one.joint, "at": one.at} for one in self.joints]
        closings = {"glue_on": self.glue_on, "open_s": self.open_s, "joints": joints}
        rows.change(self.row(), closings=plain(closings, field="closings"))

    def sentence(self, tell: Wording) -> list[str]:
        spent = ((one.joint, round((one.at - self.glue_on).total_seconds())) for one in self.joints)
        closed = [f"{joint} {seconds // 60}:{seconds % 60:02}" for joint, seconds in spent]
        says = _("%(stage)s: joints closed after the first glue") % {"stage": self.stage_title(tell)}
        return [says, ", ".join(closed)]
