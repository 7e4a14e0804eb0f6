"""Events of supplies, and of what was bought for a commission."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from jobs.core.typed_json import PrivateRef
from jobs.log.projections import rows
from jobs.log.projections.kinds import Payload, Wording, event_kind
from jobs.models import Cost, Event, Supply
from jobs.models.bases import row_key

COLUMNS = ("kind", "sheet", "lot", "got_on", "opened_on", "shelf_life_d", "use_by", "level")


def lot_words(lot: str) -> str:
    """Return a lot number in words, empty for none."""
    return _("lot %(lot)s") % {"lot": lot} if lot else ""


@event_kind("supply_added")
class SupplyAdded(Payload):
    """A container is added to the shelf."""

    kind: str
    name: PrivateRef
    sheet: str
    lot: str
    got_on: date | None
    opened_on: date | None
    shelf_life_d: int | None
    use_by: date | None
    level: str

    def project(self, event: Event) -> None:
        rows.add(
            Supply(
                id=row_key(event.seq),
                name_ref=self.name,
                version=event.seq,
                **self.given(*COLUMNS),
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Supply added: %(name)s") % {"name": tell.text(self.name)}, lot_words(self.lot)]


@dataclass(frozen=True, kw_only=True)
class OfSupply(Payload):
    """The payload of an event about one container."""

    supply: int

    def change(self, event: Event, **fields: object) -> None:
        """Write these fields of the container and its new version."""
        rows.update(Supply, self.supply, version=event.seq, **fields)


@event_kind("supply_opened")
class SupplyOpened(OfSupply):
    """A container is opened."""

    opened_on: date | None

    def project(self, event: Event) -> None:
        self.change(event, opened_on=self.opened_on)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Supply opened %(opened_on)s") % {"opened_on": tell.day(self.opened_on)}]


@event_kind("supply_level_set")
class SupplyLevelSet(OfSupply):
    """The level of a container is set."""

    level: str

    def project(self, event: Event) -> None:
        self.change(event, level=self.level)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Supply is %(level)s") % {"level": tell.translated(self.level)}]


@event_kind("supply_refilled")
class SupplyRefilled(OfSupply):
    """A full container of another lot replaces this one."""

    lot: str
    got_on: date | None
    use_by: date | None

    def project(self, event: Event) -> None:
        fresh = self.given("lot", "got_on", "use_by")
        self.change(event, level=Supply.Level.FULL, opened_on=None, **fresh)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Supply refilled"), lot_words(self.lot)]


@event_kind("supply_discarded")
class SupplyDiscarded(OfSupply):
    """A container is discarded."""

    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        self.change(event, discarded_at=event.occurred_at, reason_ref=self.reason)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Supply discarded"), tell.text(self.reason)]


@event_kind("cost_added", is_money=True, keeps_routes=True, file="picture")
class CostAdded(Payload):
    """Something is bought for a commission."""

    commission: str
    kind: str
    what: PrivateRef
    supplier: PrivateRef | None
    day: date
    net: Decimal
    tax: Decimal
    currency: str
    picture: PrivateRef | None

    def project(self, event: Event) -> None:
        rows.add(
            Cost(
                id=row_key(event.seq),
                commission_id=rows.commission_id(self.commission),
                what_ref=self.what,
                supplier_ref=self.supplier,
                picture_ref=self.picture,
                **self.given("kind", "day", "net", "tax", "currency"),
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        bought = {"what": tell.text(self.what), "amount": tell.money(self.net, self.currency)}
        return [_("Bought: %(what)s, %(amount)s") % bought, tell.text(self.supplier)]


@event_kind("cost_voided", is_money=True, keeps_routes=True)
class CostVoided(Payload):
    """A mistyped cost is voided."""

    commission: str
    cost: int
    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        rows.update(Cost, self.cost, voided_at=event.occurred_at, voided_by=event.actor, void_ref=self.reason)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Cost voided"), tell.text(self.reason)]


@event_kind("supply_priced", is_money=True)
class SupplyPriced(OfSupply):
    """The price of a full container is set, and how much it holds."""

    price: Decimal
    currency: str
    holds: Decimal
    unit: str

    def project(self, event: Event) -> None:
        self.change(event, holds_unit=self.unit, **self.given("price", "currency", "holds"))

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Price of a supply: %(price)s") % {"price": tell.money(self.price, self.currency)}]
