"""Events of the shop: settings, product sheets, route templates, dates outside, who does what."""

from dataclasses import dataclass
from datetime import date, datetime

from django.utils.translation import gettext as _

from jobs.core.typed_json import ABSENT, Absence, Json, PrivateRef
from jobs.log.projections import rows
from jobs.log.projections.kinds import OfStage, Payload, Wording, event_kind
from jobs.models import Appointment, Event, RouteTemplate, Sheet, ShopProfile
from jobs.models.bases import row_key

PRIVATE = (
    "name", "address", "postcode", "city", "country", "contact", "email", "tax_id", "payment",
    "terms", "person", "phone", "account_name", "iban", "bic", "endpoint",
    "exempt_reason",
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
    person: PrivateRef | None | Absence = ABSENT
    phone: PrivateRef | None | Absence = ABSENT
    account_name: PrivateRef | None | Absence = ABSENT
    iban: PrivateRef | None | Absence = ABSENT
    bic: PrivateRef | None | Absence = ABSENT
    endpoint: PrivateRef | None | Absence = ABSENT
    exempt_reason: PrivateRef | None | Absence = ABSENT

    def project(self, event: Event) -> None:
        shop = ShopProfile.objects.first() or ShopProfile(id=row_key(event.seq))
        shop.data = {**(shop.data or {}), **self.settings}
        for name, ref in self.given(*PRIVATE).items():
            setattr(shop, f"{name}_ref", ref)
        shop.version = event.seq
        shop.save()

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Shop settings changed")]


@event_kind("logo_set", file="logo")
class LogoSet(Payload):
    """The shop's logo is replaced, or taken off its papers."""

    logo: PrivateRef | None

    def project(self, event: Event) -> None:
        shop = ShopProfile.objects.first() or ShopProfile(id=row_key(event.seq))
        shop.logo_ref = self.logo
        shop.version = event.seq
        shop.save()

    def sentence(self, tell: Wording) -> list[str]:
        return [_("The shop's logo is set") if self.logo else _("The shop's logo is removed")]


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


COLUMNS = ("kind", "day", "starts_at", "minutes", "hands", "people", "is_told")


@dataclass(frozen=True, kw_only=True)
class AppointmentFacts(Payload):
    """All that is said of a date outside the shop."""

    kind: str
    day: date
    starts_at: datetime | None
    minutes: int | None
    place: PrivateRef | None
    note: PrivateRef | None
    hands: int
    people: list[str]
    is_told: bool

    def columns(self, event: Event) -> Json:
        """Return the columns of the row that holds these facts."""
        texts = {"place_ref": self.place, "note_ref": self.note}
        return {**self.given(*COLUMNS), **texts, "version": event.seq}

    def named(self, tell: Wording) -> Json:
        """Return what it is and its day, in words."""
        return {"what": tell.translated(self.kind), "day": tell.day(self.day)}


@event_kind("appointment_set")
class AppointmentSet(AppointmentFacts):
    """A date outside the shop is set."""

    commission: str | None

    def project(self, event: Event) -> None:
        found = rows.commission_id(self.commission) if self.commission else None
        rows.add(Appointment(id=row_key(event.seq), commission_id=found, **self.columns(event)))

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(what)s set for %(day)s") % self.named(tell), tell.text(self.note)]


@event_kind("appointment_changed")
class AppointmentChanged(AppointmentFacts):
    """A date outside the shop is changed; all of it stands here again."""

    appointment: int

    def project(self, event: Event) -> None:
        rows.update(Appointment, self.appointment, **self.columns(event))

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(what)s changed: now %(day)s") % self.named(tell), tell.text(self.note)]


@event_kind("appointment_ended")
class AppointmentEnded(Payload):
    """A date outside the shop is over: done, or cancelled with a reason."""

    appointment: int
    step: str
    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        rows.update(Appointment, self.appointment, step=self.step, reason_ref=self.reason, version=event.seq)

    def sentence(self, tell: Wording) -> list[str]:
        found = Appointment.objects.filter(id=self.appointment).first()
        what = f"{tell.translated(found.kind)}, {tell.day(found.day)}" if found else ""
        says = _("%(what)s: done") if self.step == Appointment.Step.DONE else _("%(what)s: canceled")
        return [says % {"what": what}, tell.text(self.reason)]


@event_kind("stage_given", keeps_routes=True)
class StageGiven(OfStage):
    """A stage is given to a person, or to nobody."""

    person: str

    def project(self, event: Event) -> None:
        rows.change(self.row(), given_to=self.person)

    def sentence(self, tell: Wording) -> list[str]:
        what = {"stage": self.stage_title(tell), "person": tell.person(self.person)}
        return [(_("%(stage)s: for %(person)s") if self.person else _("%(stage)s: for anyone")) % what]
