"""Events of the plan: what a maker pins in it."""

from datetime import date

from django.utils.translation import gettext as _

from jobs.log.projections import rows
from jobs.log.projections.kinds import OfStage, Wording, event_kind
from jobs.models import Event, PlanPin
from jobs.models.bases import row_key


@event_kind("plan_pinned", keeps_routes=True)
class PlanPinned(OfStage):
    """A stage is pinned in the plan to a day, to a person, or to come first; it replaces an older pin."""

    day: date | None
    person: str
    is_first: bool

    def project(self, event: Event) -> None:
        fixed = {**self.given("day", "person", "is_first"), "is_off": False}
        found = _pin(self)
        if found is None:
            rows.add(PlanPin(id=row_key(event.seq), piece=self.piece, stage=self.stage, **fixed))
        else:
            rows.update(PlanPin, found, **fixed)

    def sentence(self, tell: Wording) -> list[str]:
        title = self.stage_title(tell)
        how = [
            tell.day(self.day) if self.day else "",
            tell.person(self.person) if self.person else "",
            _("first") if self.is_first else "",
        ]
        pinned = ", ".join(filter(None, how))
        return [_("%(stage)s: pinned in the plan: %(how)s") % {"stage": title, "how": pinned}]


@event_kind("plan_unpinned", keeps_routes=True)
class PlanUnpinned(OfStage):
    """The pin of a stage is taken off."""

    def project(self, event: Event) -> None:
        found = _pin(self)
        if found is not None:
            rows.update(PlanPin, found, day=None, person="", is_first=False, is_off=True)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(stage)s: pin taken off") % {"stage": self.stage_title(tell)}]


def _pin(of: OfStage) -> int | None:
    return PlanPin.objects.filter(piece=of.piece, stage=of.stage).values_list("id", flat=True).first()
