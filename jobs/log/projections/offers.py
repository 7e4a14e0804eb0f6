"""Events of quotes and change orders."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.core.typed_json import ABSENT, Absence, Json, PrivateRef
from jobs.log.projections import rows
from jobs.log.projections.commissions import PricedLine
from jobs.log.projections.kinds import Payload, Wording, event_kind
from jobs.models import Commission, Event, Offer, OfferAlternative, OfferLine
from jobs.models.bases import row_key


@dataclass(frozen=True, kw_only=True)
class OfOffer(Payload):
    """The payload of an event about one version of a quote or change order."""

    offer: str
    version: int

    def queryset(self) -> QuerySet[Offer]:
        """Return the row of this version."""
        return Offer.objects.filter(number=self.offer, version=self.version)

    def label(self) -> str:
        """Return the number and version in words."""
        return _("%(offer)s, version %(version)s") % {"offer": self.offer, "version": self.version}

    def decide(self, event: Event, step: str, **more: object) -> None:
        """Write the decision on this version, its time and its actor."""
        fields = {"step": step, "decided_at": event.occurred_at, "decided_by": event.actor, **more}
        rows.decide_offer(self.offer, self.version, **fields)

    def mark_declined(self, declined: bool) -> None:
        """Set on the commission whether its quote was declined; a change order stops nothing."""
        quoted = self.queryset().filter(kind=Offer.Kind.QUOTE).values("commission")
        Commission.objects.filter(id__in=quoted).update(quote_declined=declined)


@dataclass(frozen=True, kw_only=True)
class Alternative:
    """A piece in another wood or with another finish, and its difference in price."""

    of: str
    what: str
    to: str
    description: PrivateRef
    difference: Decimal
    tax_category: str
    tax_pct: Decimal
    with_tax: bool | Absence = ABSENT

    def row(self, event: Event, offer: Offer, n: int) -> OfferAlternative:
        """Return the row of the n-th alternative of an offer."""
        return OfferAlternative(
            id=row_key(event.seq, n),
            offer=offer,
            position=n + 1,
            piece=self.of,
            what=self.what,
            to=self.to,
            description_ref=self.description,
            difference=self.difference,
            tax_category=self.tax_category,
            tax_pct=self.tax_pct,
            with_tax=self.with_tax is True,
        )


@event_kind("offer_drafted", is_money=True)
class OfferDrafted(OfOffer):
    """A version is drafted, or its whole content replaced."""

    kind: str
    commission: str
    currency: str
    lines: list[PricedLine]
    alternatives: list[Alternative]
    words: PrivateRef | None
    terms: PrivateRef | None
    valid_days: int
    promise_on: date | None
    deposit_pct: Decimal
    basis: Json
    included: PrivateRef | Absence | None = ABSENT
    excluded: PrivateRef | Absence | None = ABSENT
    deposit_sum: Decimal | Absence | None = ABSENT

    def project(self, event: Event) -> None:
        offer = self.queryset().first() or Offer(
            id=row_key(event.seq),
            commission_id=rows.commission_id(self.commission),
            number=self.offer,
            **self.given("version", "kind"),
        )
        for name, value in self.given("currency", "valid_days", "promise_on", "deposit_pct", "basis").items():
            setattr(offer, name, value)
        offer.words_ref, offer.terms_ref, offer.drafted_at = self.words, self.terms, event.occurred_at
        for name, ref in self.given("included", "excluded").items():
            setattr(offer, f"{name}_ref", ref)
        offer.deposit_sum = self.given("deposit_sum").get("deposit_sum")
        offer.save()
        offer.lines.all().delete()
        offer.alternatives.all().delete()
        OfferLine.objects.bulk_create(
            OfferLine(offer=offer, **line.columns(event, n)) for n, line in enumerate(self.lines)
        )
        OfferAlternative.objects.bulk_create(
            one.row(event, offer, n) for n, one in enumerate(self.alternatives)
        )

    def sentence(self, tell: Wording) -> list[str]:
        what = tell.translated(Offer.Kind(self.kind).label)
        return [
            _("%(label)s %(offer)s written") % {"label": what, "offer": self.label()},
            tell.text(self.words),
        ]


@event_kind("offer_dropped", is_money=True)
class OfferDropped(OfOffer):
    """A draft is dropped."""

    def project(self, event: Event) -> None:
        offer = self.queryset().get()
        offer.lines.all().delete()
        offer.alternatives.all().delete()
        offer.delete()

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(offer)s thrown away") % {"offer": self.label()}]


@event_kind("offer_issued", is_money=True)
class OfferIssued(OfOffer):
    """A version is issued as a paper; it supersedes the one before."""

    valid_until: date
    issued_as: str

    def project(self, event: Event) -> None:
        earlier = Offer.objects.filter(number=self.offer, version__lt=self.version, step=Offer.Step.ISSUED)
        earlier.update(step=Offer.Step.SUPERSEDED, decided_at=event.occurred_at)
        self.queryset().update(
            step=Offer.Step.ISSUED,
            issued_at=event.occurred_at,
            valid_until=self.valid_until,
            paper_id=rows.paper_id(self.issued_as),
        )
        self.mark_declined(False)

    def sentence(self, tell: Wording) -> list[str]:
        return [
            _("%(offer)s issued as %(issued_as)s") % {"offer": self.label(), "issued_as": self.issued_as},
            _("good until %(valid_until)s") % {"valid_until": tell.day(self.valid_until)},
        ]


@event_kind("offer_accepted", is_money=True, keeps_routes=True)
class OfferAccepted(OfOffer):
    """The client accepts a version, with some of its alternatives or none."""

    chosen: list[int]
    name: PrivateRef | None
    how: str | Absence = ABSENT
    shown_sha256: str | Absence = ABSENT
    agreed_total: Decimal | Absence = ABSENT
    agreed_deposit: Decimal | Absence = ABSENT

    def project(self, event: Event) -> None:
        kept = self.given("how", "shown_sha256", "agreed_total", "agreed_deposit")
        self.decide(event, Offer.Step.ACCEPTED, chosen=self.chosen, name_ref=self.name, **kept)

    def sentence(self, tell: Wording) -> list[str]:
        count, name = len(self.chosen), tell.text(self.name)
        chosen = ngettext("with %(count)s alternative", "with %(count)s alternatives", count)
        return [
            _("%(offer)s accepted") % {"offer": self.label()},
            _("Name typed: %(name)s") % {"name": name} if name else "",
            chosen % {"count": count} if count else "",
        ]


@event_kind("offer_copy_kept", is_money=True, keeps_routes=True)
class OfferCopyKept(OfOffer):
    """A picture of the signed copy is kept with an accepted version."""

    picture: int

    def project(self, event: Event) -> None:
        rows.decide_offer(self.offer, self.version, signed_copy=self.picture)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(offer)s: a picture of the signed copy") % {"offer": self.label()}]


@event_kind("offer_declined", is_money=True)
class OfferDeclined(OfOffer):
    """The client declines a version."""

    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        self.decide(event, Offer.Step.DECLINED, reason_ref=self.reason)
        self.mark_declined(True)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(offer)s declined") % {"offer": self.label()}, tell.text(self.reason)]


@event_kind("quote_lost", is_money=True)
class QuoteLost(OfOffer):
    """The reason why a quote was lost is noted, once."""

    because: str
    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        more = {"reason_ref": self.reason} if self.reason else {}
        rows.decide_offer(self.offer, self.version, because=self.because, **more)

    def sentence(self, tell: Wording) -> list[str]:
        why = tell.translated(self.because)
        return [_("%(offer)s lost: %(why)s") % {"offer": self.label(), "why": why}, tell.text(self.reason)]


@event_kind("decline_taken_back", keeps_routes=True)
class DeclineTakenBack(Payload):
    """A declined commission is taken up again, with its quote where one was declined or let go."""

    number: str
    to: str
    offer: str
    version: int
    is_open: bool

    def project(self, event: Event) -> None:
        undone = {"quote_declined": False} if self.is_open else {}
        rows.change_commission(
            self.number, step=self.to, step_at=event.occurred_at, step_reason_ref=None, **undone
        )
        again = {"step": Offer.Step.ISSUED, "decided_at": None, "decided_by": ""} if self.is_open else {}
        if self.offer:
            rows.decide_offer(self.offer, self.version, because="", reason_ref=None, **again)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Taken up again: commission is %(to)s") % {"to": tell.translated(self.to)}]


@event_kind("offer_expired", is_money=True)
class OfferExpired(OfOffer):
    """An issued version expires: its last day has passed."""

    def project(self, event: Event) -> None:
        self.decide(event, Offer.Step.EXPIRED)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(offer)s lapsed") % {"offer": self.label()}]
