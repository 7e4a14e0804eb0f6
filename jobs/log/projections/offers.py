"""Quotes and change orders from the log."""

from datetime import date
from decimal import Decimal
from typing import Any

from jobs.core.refs import ref
from jobs.log.projections import rows
from jobs.log.projections.commissions import priced
from jobs.models import Commission, Event, Offer, OfferAlternative, OfferLine, Paper
from jobs.models.bases import row_key


def drafted(event: Event) -> None:
    """A version is written, or written anew: all of it."""
    data = event.data
    offer = _of(data).first() or Offer(
        id=row_key(event.seq),
        commission=Commission.objects.get(number=data["commission"]),
        number=data["offer"],
        version=data["version"],
        kind=data["kind"],
    )
    offer.currency = data["currency"]
    offer.words_ref, offer.terms_ref = ref(data["words"]), ref(data["terms"])
    offer.valid_days, offer.deposit_pct = data["valid_days"], Decimal(data["deposit_pct"])
    offer.promise_on = date.fromisoformat(data["promise_on"]) if data["promise_on"] else None
    offer.basis, offer.drafted_at = data["basis"], event.occurred_at
    offer.save()
    offer.lines.all().delete()
    offer.alternatives.all().delete()
    OfferLine.objects.bulk_create(
        OfferLine(offer=offer, **priced(event, n)) for n in range(len(data["lines"]))
    )
    OfferAlternative.objects.bulk_create(
        OfferAlternative(
            id=row_key(event.seq, n),
            offer=offer,
            position=n + 1,
            piece=one["of"],
            what=one["what"],
            to=one["to"],
            description_ref=ref(one["description"]),
            difference=Decimal(one["difference"]),
            tax_category=one["tax_category"],
            tax_pct=Decimal(one["tax_pct"]),
        )
        for n, one in enumerate(data["alternatives"])
    )


def dropped(event: Event) -> None:
    offer = _of(event.data).get()
    offer.lines.all().delete()
    offer.alternatives.all().delete()
    offer.delete()


def issued(event: Event) -> None:
    data = event.data
    earlier = Offer.objects.filter(number=data["offer"], version__lt=data["version"])
    earlier.filter(step=Offer.Step.ISSUED).update(step=Offer.Step.SUPERSEDED, decided_at=event.occurred_at)
    _of(data).update(
        step=Offer.Step.ISSUED,
        issued_at=event.occurred_at,
        valid_until=date.fromisoformat(data["valid_until"]),
        paper=Paper.objects.get(number=data["issued_as"]),
    )
    _mark_declined(data, False)


def accepted(event: Event) -> None:
    data = event.data
    _decided(event, Offer.Step.ACCEPTED, chosen=data["chosen"], name_ref=ref(data["name"]))


def declined(event: Event) -> None:
    _decided(event, Offer.Step.DECLINED, reason_ref=ref(event.data["reason"]))
    _mark_declined(event.data, True)


def expired(event: Event) -> None:
    _decided(event, Offer.Step.EXPIRED)


def _decided(event: Event, step: str, **more: Any) -> None:
    data = event.data
    fields = {"step": step, "decided_at": event.occurred_at, "decided_by": event.actor, **more}
    rows.decide_offer(data["offer"], data["version"], **fields)


def _mark_declined(data: dict[str, Any], declined: bool) -> None:
    """Note on the commission whether its quote was declined; a change order stops nothing."""
    quoted = _of(data).filter(kind=Offer.Kind.QUOTE).values("commission")
    Commission.objects.filter(id__in=quoted).update(quote_declined=declined)


def _of(data: dict[str, Any]) -> Any:
    return Offer.objects.filter(number=data["offer"], version=data["version"])
