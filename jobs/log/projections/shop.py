"""Events of the shop: settings, product sheets, route templates, dates outside, who does what."""

from datetime import date, datetime

from django.utils.translation import gettext as _

from jobs.core.typed_json import ABSENT, Absence, Json, PrivateRef
from jobs.log.projections import rows
from jobs.log.projections.kinds import OfStage, Payload, Wording, event_kind
from jobs.models import Appointment, Event, RouteTemplate, Sheet, ShopProfile
from jobs.models.bases import row_key

PRIVATE = (
    "name", "address", "postcode", "city", "country", "contact", "email", "tax_id", "payment",
    "terms",
)  # fmt: skip


@event_kind("demo_begun")
class DemoBegun(Payload):
    """The log begins as that of a demo shop, which may be emptied; no other may."""

    def project(self, event: Event) -> None:
        pass

    def sentence(self, tell: Wording) -> list[str]:
        return [_("The demo shop")]


@event_kind("shop_set")
class ShopSet(Payload):
    """Settings and texts of the shop are replaced; fields left out stay."""

    settings: Json
    name: PrivateRef | None | Absence = ABSENT
    address: PrivateRef | None | Absence = ABSENT
    postcode: PrivateRef | None | Absence = ABSENT
    city: PrivateRef | None | Absence = ABSENT
    country: PrivateRef | None | Absence = ABSENT
    contact: PrivateRef | None | Absence = ABSENT
    email: PrivateRef | None | Absence = ABSENT
    tax_id: PrivateRef | None | Absence = ABSENT
    payment: PrivateRef | None | Absence = ABSENT
    terms: PrivateRef | None | Absence = ABSENT

    def project(self, event: Event) -> None:
        shop = ShopProfile.objects.first() or ShopProfile(id=row_key(event.seq))
        shop.data = {**(shop.data or {}), **self.settings}
        for name, ref in self.given(*PRIVATE).items():
            setattr(shop, f"{name}_ref", ref)
        shop.version = event.seq
        shop.save()

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Shop settings changed")]


@event_kind("sheet_set")
class SheetSet(Payload):
    """A product sheet gets a new version."""

    key: str
    version: int
    kind: str
    data: Json

    def project(self, event: Event) -> None:
        columns = self.given("key", "version", "kind", "data")
        rows.add(Sheet(id=row_key(event.seq), set_at=event.occurred_at, **columns))

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Product sheet %(key)s, version %(version)s") % {"key": self.key, "version": self.version}]


@event_kind("template_set")
class TemplateSet(Payload):
    """A route template of the shop gets a new version."""

    key: str
    version: int
    text: str

    def project(self, event: Event) -> None:
        columns = self.given("key", "version", "text")
        rows.add(RouteTemplate(id=row_key(event.seq), set_at=event.occurred_at, **columns))

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Route template %(key)s, version %(version)s") % {"key": self.key, "version": self.version}]


class OfAppointment(Payload):
    """What events say of a date outside the shop."""

    def what(self, tell: Wording, key: int) -> str:
        """Return the kind of the date and its day."""
        found = Appointment.objects.filter(id=key).first()
        return f"{tell.translated(found.kind)}, {tell.day(found.day)}" if found else ""


COLUMNS = ("kind", "day", "starts_at", "minutes", "hands", "people", "is_told")


@event_kind("appointment_set")
class AppointmentSet(Payload):
    """A date outside the shop is set."""

    commission: str | None
    kind: str
    day: date
    starts_at: datetime | None
    minutes: int | None
    place: PrivateRef | None
    note: PrivateRef | None
    hands: int
    people: list[str]
    is_told: bool

    def project(self, event: Event) -> None:
        rows.add(
            Appointment(
                id=row_key(event.seq),
                commission_id=rows.commission_id(self.commission) if self.commission else None,
                place_ref=self.place,
                note_ref=self.note,
                version=event.seq,
                **self.given(*COLUMNS),
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        what = {"what": tell.translated(self.kind), "day": tell.day(self.day)}
        return [_("%(what)s set for %(day)s") % what, tell.text(self.note)]


@event_kind("appointment_changed")
class AppointmentChanged(OfAppointment):
    """A date outside the shop is changed; all of it stands here again."""

    appointment: int
    kind: str
    day: date
    starts_at: datetime | None
    minutes: int | None
    place: PrivateRef | None
    note: PrivateRef | None
    hands: int
    people: list[str]
    is_told: bool

    def project(self, event: Event) -> None:
        rows.update(
            Appointment,
            self.appointment,
            place_ref=self.place,
            note_ref=self.note,
            version=event.seq,
            **self.given(*COLUMNS),
        )

    def sentence(self, tell: Wording) -> list[str]:
        what = {"what": tell.translated(self.kind), "day": tell.day(self.day)}
        return [_("%(what)s changed: now %(day)s") % what, tell.text(self.note)]


@event_kind("appointment_ended")
class AppointmentEnded(OfAppointment):
    """A date outside the shop is over: done, or cancelled with a reason."""

    appointment: int
    step: str
    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        rows.update(Appointment, self.appointment, step=self.step, reason_ref=self.reason, version=event.seq)

    def sentence(self, tell: Wording) -> list[str]:
        what = {"what": self.what(tell, self.appointment)}
        says = _("%(what)s: done") if self.step == Appointment.Step.DONE else _("%(what)s: canceled")
        return [says % what, tell.text(self.reason)]


@event_kind("stage_given", keeps_routes=True)
class StageGiven(OfStage):
    """A stage is given to a person, or to nobody."""

    person: str

    def project(self, event: Event) -> None:
        rows.change(self.row(), given_to=self.person)

    def sentence(self, tell: Wording) -> list[str]:
        what = {"stage": self.stage_title(tell), "person": tell.person(self.person)}
        return [(_("%(stage)s: for %(person)s") if self.person else _("%(stage)s: for anyone")) % what]
