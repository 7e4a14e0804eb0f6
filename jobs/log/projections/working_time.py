"""Events of working time: hours, days off, holidays, a client's days, how firm a promise is."""

from datetime import date

from django.utils.translation import gettext as _

from jobs.core.typed_json import PrivateRef
from jobs.log.projections import rows
from jobs.log.projections.kinds import Payload, Wording, event_kind
from jobs.models import Blackout, DayOff, Event, WorkingHours
from jobs.models.bases import row_key


@event_kind("working_hours_set", keeps_routes=True)
class WorkingHoursSet(Payload):
    """The hours of a person are set; all that is said of them stands here."""

    person: str
    week: list[list[list[str]]] | None
    unwanted: list[list[list[str]]]
    back_until: str
    limits: dict[str, str]

    def project(self, event: Event) -> None:
        columns = self.given("week", "unwanted", "back_until", "limits") | {"version": event.seq}
        found = WorkingHours.objects.filter(person=self.person).values_list("id", flat=True).first()
        if found is None:
            rows.add(WorkingHours(id=row_key(event.seq), person=self.person, **columns))
        else:
            rows.update(WorkingHours, found, **columns)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Working hours of %(person)s set") % {"person": tell.person(self.person)}]


@event_kind("day_off_set", keeps_routes=True)
class DayOffSet(Payload):
    """A person is away, or the shop is closed where ``person`` is empty."""

    person: str
    first: date
    last: date
    begins: str
    ends: str
    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        columns = self.given("person", "first", "last", "begins", "ends")
        rows.add(DayOff(id=row_key(event.seq), reason_ref=self.reason, version=event.seq, **columns))

    def sentence(self, tell: Wording) -> list[str]:
        what = _away(tell, self.person, self.first, self.last)
        hours = f"{self.begins or '00:00'}–{self.ends or '24:00'}" if self.begins or self.ends else ""
        return [what, hours, tell.text(self.reason)]


@event_kind("day_off_cancelled", keeps_routes=True)
class DayOffCancelled(Payload):
    """A day off or a holiday is taken back."""

    day_off: int

    def project(self, event: Event) -> None:
        rows.update(DayOff, self.day_off, is_cancelled=True, version=event.seq)

    def sentence(self, tell: Wording) -> list[str]:
        found = DayOff.objects.filter(id=self.day_off).first()
        what = _away(tell, found.person, found.first, found.last) if found else ""
        return [_("Taken back: %(what)s") % {"what": what}]


def _away(tell: Wording, person: str, first: date, last: date) -> str:
    days = _days(tell, first, last)
    if not person:
        return _("The shop is closed %(days)s") % {"days": days}
    return _("%(person)s is away %(days)s") % {"person": tell.person(person), "days": days}


def _days(tell: Wording, first: date, last: date) -> str:
    if first == last:
        return tell.day(first)
    return _("%(first)s to %(last)s") % {"first": tell.day(first), "last": tell.day(last)}


@event_kind("commission_blackout_set", keeps_routes=True)
class CommissionBlackoutSet(Payload):
    """The client of a commission takes no delivery and no visit on these days."""

    commission: str
    first: date
    last: date
    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        rows.add(
            Blackout(
                id=row_key(event.seq), commission_id=rows.commission_id(self.commission),
                reason_ref=self.reason, version=event.seq, **self.given("first", "last"),
            )
        )  # fmt: skip

    def sentence(self, tell: Wording) -> list[str]:
        days = _days(tell, self.first, self.last)
        return [_("No delivery and no visit %(days)s") % {"days": days}, tell.text(self.reason)]


@event_kind("commission_blackout_cancelled", keeps_routes=True)
class CommissionBlackoutCancelled(Payload):
    """The client can receive on these days after all."""

    blackout: int

    def project(self, event: Event) -> None:
        rows.update(Blackout, self.blackout, is_cancelled=True, version=event.seq)

    def sentence(self, tell: Wording) -> list[str]:
        found = Blackout.objects.filter(id=self.blackout).first()
        days = _days(tell, found.first, found.last) if found else ""
        return [_("Delivery and visits are possible again %(days)s") % {"days": days}]


FIRMNESS = {1: "usual", 2: "important", 4: "must"}
"""How many times a late day of a promise counts, and its word."""


@event_kind("promise_weight_set", keeps_routes=True)
class PromiseWeightSet(Payload):
    """How firm the promised day of a commission is."""

    commission: str
    weight: int

    def project(self, event: Event) -> None:
        rows.change_commission(self.commission, promise_weight=self.weight)

    def sentence(self, tell: Wording) -> list[str]:
        word = tell.translated(FIRMNESS.get(self.weight, str(self.weight)))
        return [_("How firm the promised day is: %(word)s") % {"word": word}]
