"""Events of papers and payments."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from jobs.core.typed_json import Json, PrivateRef
from jobs.log.projections import rows
from jobs.log.projections.kinds import Payload, Wording, event_kind
from jobs.models import Event, Invoice, Paper, PaperSending, Payment
from jobs.models.bases import row_key


@dataclass(frozen=True, kw_only=True)
class Sums:
    """The sums of an invoice or a credit note."""

    currency: str
    totals: list[Json]
    net: Decimal
    tax: Decimal
    total: Decimal
    paid_before: Decimal
    due: Decimal
    due_on: date


@event_kind("paper_issued", version=4, keeps_routes=True)
class PaperIssued(Payload):
    """A paper is numbered and its content frozen; a credit note credits an invoice, in full or in part."""

    paper: str
    kind: str
    commission: str
    client: int | None
    payment: int | None
    size: str
    frozen: PrivateRef
    invoice: Sums | None
    credits: str
    what: str

    def project(self, event: Event) -> None:
        paper = Paper(
            id=row_key(event.seq),
            number=self.paper,
            commission_id=rows.commission_id(self.commission) if self.commission else None,
            client_id=self.client,
            payment_id=self.payment,
            issued_at=event.occurred_at,
            frozen_ref=self.frozen,
            **self.given("kind", "size", "credits", "what"),
        )
        rows.add(paper)
        rows.know_paper(paper)
        if self.credits and self.what != Paper.PART:
            Paper.objects.filter(number=self.credits).update(withdrawn_at=event.occurred_at)
        if self.invoice:
            rows.add(Invoice(id=row_key(event.seq), paper=paper, **vars(self.invoice)))

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(label)s %(paper)s issued") % {"label": tell.paper(self.kind), "paper": self.paper}]


@event_kind("paper_rendered", keeps_routes=True)
class PaperRendered(Payload):
    """The file of a paper is rendered."""

    paper: str
    sha256: str
    bytes: int

    def project(self, event: Event) -> None:
        Paper.objects.filter(number=self.paper).update(file_sha256=self.sha256)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(paper)s is ready to print") % {"paper": self.paper}]


@event_kind("paper_withdrawn")
class PaperWithdrawn(Payload):
    """A paper is withdrawn."""

    paper: str
    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        Paper.objects.filter(number=self.paper).update(withdrawn_at=event.occurred_at)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(paper)s withdrawn") % {"paper": self.paper}, tell.text(self.reason)]


@event_kind("paper_sent", is_money=True, keeps_routes=True)
class PaperSent(Payload):
    """A paper is sent to its client by mail, or handed over; ``occasion`` says why."""

    paper: str
    occasion: str
    by_mail: bool
    to: PrivateRef | None
    words: PrivateRef | None

    def project(self, event: Event) -> None:
        rows.add(
            PaperSending(
                id=row_key(event.seq),
                paper_id=rows.paper_id(self.paper),
                to_ref=self.to,
                words_ref=self.words,
                sent_at=event.occurred_at,
                sent_by=event.actor,
                **self.given("occasion", "by_mail"),
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        says = _("%(paper)s sent by mail") if self.by_mail else _("%(paper)s handed over")
        return [says % {"paper": self.paper}, tell.text(self.to), tell.text(self.words)]


@event_kind("paper_opened", is_money=True, keeps_routes=True)
class PaperOpened(Payload):
    """The client opens the page by the link of a mail, for the first time."""

    paper: str
    sending: int

    def project(self, event: Event) -> None:
        rows.update(PaperSending, self.sending, opened_at=event.occurred_at)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("The client opened %(paper)s") % {"paper": self.paper}]


@event_kind("paper_not_delivered", is_money=True, keeps_routes=True)
class PaperNotDelivered(Payload):
    """The mail with a paper never went out."""

    paper: str
    sending: int
    why: str

    def project(self, event: Event) -> None:
        rows.update(PaperSending, self.sending, failed_at=event.occurred_at, trouble=self.why)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("%(paper)s did not reach the client") % {"paper": self.paper}, self.why]


@dataclass(frozen=True, kw_only=True)
class Share:
    """The part of a payment that is for one invoice."""

    paper: str
    amount: Decimal


@event_kind("payment_received", version=3, is_money=True, keeps_routes=True)
class PaymentReceived(Payload):
    """Money is received; a negative amount is given back."""

    commission: str
    amount: Decimal
    currency: str
    received_on: date
    what: str
    method: str
    note: PrivateRef | None
    allocated: list[Share]

    def project(self, event: Event) -> None:
        rows.add(
            Payment(
                id=row_key(event.seq),
                commission_id=rows.commission_id(self.commission),
                note_ref=self.note,
                **self.given("amount", "currency", "received_on", "what", "method"),
                **{"named": [vars(share) for share in self.allocated]},
            )
        )

    def sentence(self, tell: Wording) -> list[str]:
        amount = tell.money(abs(self.amount), self.currency)
        if self.what == "repayment":
            return [_("Given back: %(amount)s") % {"amount": amount}, tell.text(self.note)]
        what = tell.translated(self.what).capitalize()
        return [
            _("%(what)s received: %(amount)s") % {"what": what, "amount": amount}, tell.text(self.note)
        ]  # fmt: skip


@event_kind("payment_voided", is_money=True, keeps_routes=True)
class PaymentVoided(Payload):
    """A mistyped payment is voided, with its receipt."""

    commission: str
    payment: int
    reason: PrivateRef | None

    def project(self, event: Event) -> None:
        rows.update(
            Payment, self.payment, voided_at=event.occurred_at, voided_by=event.actor, void_ref=self.reason
        )
        receipts = Paper.objects.filter(payment=self.payment, withdrawn_at=None)
        receipts.update(withdrawn_at=event.occurred_at)

    def sentence(self, tell: Wording) -> list[str]:
        return [_("Payment voided"), tell.text(self.reason)]
