"""Events of equipment and of its holds."""

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

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
