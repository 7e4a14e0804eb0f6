"""Events of commissions and their prices."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.core.typed_json import ABSENT, Absence, Json, PrivateRef
from jobs.log.projections import rows
from jobs.log.projections.kinds import Payload, Wording, event_kind
from jobs.log.projections.stock.boards import free_reserved
from jobs.log.projections.stock.equipment import free_all
from jobs.models import Commission, Event, Piece, PriceLine
from jobs.models.bases import row_key

TEXTS = ("title", "notes", "asks_for", "heard")


@event_kind("commission_opened", version=2)
class CommissionOpened(Payload):
    """A commission is opened for an enquiry."""

    number: str
    client: int
    title: PrivateRef
    notes: PrivateRef | None
    asks_for: PrivateRef | None
    budget: Decimal | None
    budget_currency: str
    wanted_on: date | None
    heard: PrivateRef | None
    promise_on: date | None

    def project(self, event: Event) -> None:
        rows.add(
            Commission(
                id=row_key(event.seq),
                number=self.number,
                client_id=self.client,
                title_ref=self.title,
                notes_ref=self.notes,
                asks_for_ref=self.asks_for,
                budget=self.budget,
                budget_currency=self.budget_currency,
                wanted_on=self.wanted_on,
                heard_ref=self.heard,
                promise_on=self.promise_on,
                opened_at=event.occurred_at,
                step_at=event.occurred_at,
                version=event.seq,
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        return [
            _("Commission %(number)s opened: %(title)s")
            % {"number": self.number, "title": tell.text(self.title)}
        ]


@event_kind("commission_changed", version=2, keeps_routes=True)
class CommissionChanged(Payload):
    """Title, notes, enquiry, promised day or days between updates are replaced; fields left out stay."""

    number: str
    title: PrivateRef | Absence = ABSENT
    notes: PrivateRef | None | Absence = ABSENT
    asks_for: PrivateRef | None | Absence = ABSENT
    budget: Decimal | None | Absence = ABSENT
    budget_currency: str | Absence = ABSENT
    wanted_on: date | None | Absence = ABSENT
    heard: PrivateRef | None | Absence = ABSENT
    promise_on: date | None | Absence = ABSENT
    tell_days: int | None | Absence = ABSENT

    def project(self, event: Event) -> None:
        texts = {f"{name}_ref": ref for name, ref in self.given(*TEXTS).items()}
        fields = self.given("budget", "budget_currency", "wanted_on", "promise_on", "tell_days")
        rows.change_commission(self.number, **texts, **fields)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Changed %(what)s") % {"what": "; ".join(self._changes(tell))}]

    def _changes(self, tell: Wording) -> list[str]:
        words = []
        if self.title is not ABSENT:
            words.append(_("title: %(title)s") % {"title": tell.text(self.title)})
        if self.promise_on is not ABSENT:
            words.append(_("promised: %(day)s") % {"day": tell.day(self.promise_on)})
        if self.tell_days is None:
            words.append(_("client told as usual"))
        elif self.tell_days is not ABSENT:
            days = self.tell_days
            says = ngettext("client told after %(days)s day", "client told after %(days)s days", days)
            words.append(says % {"days": days})
        for name, said in (
            ("asks_for", _("what they ask for")), ("budget", _("budget")),
            ("heard", _("how they heard of us")), ("wanted_on", _("when they want it")),
            ("notes", _("notes")),
        ):  # fmt: skip
            words += [said] if self.given(name) else []
        return words


@dataclass(frozen=True, kw_only=True)
class Standing(Payload):
    """The payload of an event that sets the step of a commission."""

    number: str
    to: str
    reason: PrivateRef | None

    def stand(self, event: Event) -> None:
        """Write the step of the commission."""
        fields = {"step": self.to, "step_at": event.occurred_at, "step_reason_ref": self.reason}
        rows.change_commission(self.number, **fields)


@event_kind("commission_moved", keeps_routes=True)
class CommissionMoved(Standing):
    """A commission moves to another step."""

    def project(self, event: Event) -> None:
        self.stand(event)
        if self.to in (Commission.Step.CANCELLED, Commission.Step.DECLINED):
            pieces = Piece.objects.filter(commission__number=self.number)
            numbers = list(pieces.values_list("number", flat=True))
            free_reserved(event, numbers)
            free_all(numbers)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Commission is %(to)s") % {"to": tell.translated(self.to)}, tell.text(self.reason)]


@event_kind("acceptance_taken_back", keeps_routes=True)
class AcceptanceTakenBack(Standing):
    """An acceptance is taken back; the commission is an enquiry, or quoted, again."""

    def project(self, event: Event) -> None:
        self.stand(event)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Acceptance taken back"), tell.text(self.reason)]


@dataclass(frozen=True, kw_only=True)
class PricedLine:
    """One line of a price."""

    description: PrivateRef
    quantity: Decimal
    unit_code: str
    unit_price: Decimal
    tax_category: str
    tax_pct: Decimal
    with_tax: bool | Absence = ABSENT

    def columns(self, event: Event, n: int) -> Json:
        """Return the columns of the n-th price line of an event."""
        amounts = {
            name: value for name, value in vars(self).items() if name != "description" and value is not ABSENT
        }
        return {
            "id": row_key(event.seq, n), "position": n + 1, "description_ref": self.description, **amounts
        }  # fmt: skip


@event_kind("price_set", version=2, is_money=True, keeps_routes=True)
class PriceSet(Payload):
    """A price is set; it replaces the one before, line by line."""

    number: str
    currency: str
    lines: list[PricedLine]

    def project(self, event: Event) -> None:
        rows.change_commission(self.number, price_currency=self.currency)
        key = rows.commission_id(self.number)
        PriceLine.objects.filter(commission=key).delete()
        PriceLine.objects.bulk_create(
            PriceLine(commission_id=key, **line.columns(event, n)) for n, line in enumerate(self.lines)
        )

    def sentence(self, tell: Wording) -> list[str]:
        says = _("Price set in %(currency)s, %(lines)s") if self.currency else _("Price set, %(lines)s")
        count = len(self.lines)
        lines = ngettext("%(count)s line", "%(count)s lines", count) % {"count": count}
        return [says % {"currency": self.currency, "lines": lines}]
