"""Papers and payments from the log."""

from datetime import date
from decimal import Decimal

from jobs.core.refs import ref
from jobs.log.projections import rows
from jobs.models import Event, Invoice, Paper, Payment
from jobs.models.bases import row_key

SUMS = ("net", "tax", "total", "paid_before", "due")


def issued(event: Event) -> None:
    data = event.data
    paper = Paper.objects.create(
        id=row_key(event.seq),
        number=data["paper"],
        kind=data["kind"],
        commission_id=rows.commission_id(data["commission"]) if data["commission"] else None,
        client_id=data["client"],
        payment_id=data["payment"],
        issued_at=event.occurred_at,
        frozen_ref=ref(data["frozen"]),
        size=data["size"],
        credits=data["credits"],
        what=data["what"],
    )
    if data["credits"]:
        Paper.objects.filter(number=data["credits"]).update(withdrawn_at=event.occurred_at)
    if sums := data["invoice"]:
        Invoice.objects.create(
            id=row_key(event.seq),
            paper=paper,
            currency=sums["currency"],
            totals=sums["totals"],
            due_on=date.fromisoformat(sums["due_on"]),
            **{name: Decimal(sums[name]) for name in SUMS},
        )


def rendered(event: Event) -> None:
    Paper.objects.filter(number=event.data["paper"]).update(file_sha256=event.data["sha256"])


def withdrawn(event: Event) -> None:
    Paper.objects.filter(number=event.data["paper"]).update(withdrawn_at=event.occurred_at)


def payment_voided(event: Event) -> None:
    """Void a payment, and its receipt with it."""
    data = event.data
    Payment.objects.filter(id=data["payment"]).update(
        voided_at=event.occurred_at, voided_by=event.actor, void_ref=ref(data["reason"])
    )
    receipts = Paper.objects.filter(payment=data["payment"], withdrawn_at=None)
    receipts.update(withdrawn_at=event.occurred_at)


def payment_received(event: Event) -> None:
    data = event.data
    Payment.objects.create(
        id=row_key(event.seq),
        commission_id=rows.commission_id(data["commission"]),
        amount=Decimal(data["amount"]),
        currency=data["currency"],
        received_on=date.fromisoformat(data["received_on"]),
        what=data["what"],
        note_ref=ref(data["note"]),
        named=data["allocated"],
    )
