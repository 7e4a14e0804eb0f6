"""Events of the shop's settings, product sheets and route templates."""

from django.utils.translation import gettext as _

from jobs.core.typed_json import ABSENT, Absence, Json, PrivateRef
from jobs.log.projections import rows
from jobs.log.projections.kinds import Payload, Wording, event_kind
from jobs.models import Event, RouteTemplate, Sheet, ShopProfile
from jobs.models.bases import row_key

PRIVATE = (
    "name", "address", "postcode", "city", "country", "contact", "email", "tax_id", "payment",
    "terms",
)  # fmt: skip


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
