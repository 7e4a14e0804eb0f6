"""Commands on a mistyped payment: void it, or correct it in one step."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from calcs.kit.errors import OutOfRange
from jobs.core.errors import AlreadyDone, RestsOnPaper, WrongState
from jobs.domain import lookups
from jobs.domain.billing.balances import Account, account
from jobs.domain.billing.payments import Share, take_money
from jobs.domain.checks import clock, person_name, refuse_if_forgotten
from jobs.domain.waits.closing import reopen
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import read, store_private_text
from jobs.models import Paper, Payment


@command
def void_payment(tx: CommandTransaction, *, payment: int, reason: str = "") -> None:
    """Void a mistyped payment or repayment: it stays on record and no longer counts.

    Where the order was paid by it, it is open again.
    """
    found = _to_put_right(tx, payment)
    _void(tx, found, reason=reason, instead=Decimal(0))


@command
def correct_payment(
    tx: CommandTransaction,
    *,
    payment: int,
    amount: Decimal | None = None,
    received_on: date | None = None,
    what: str | None = None,
    method: str | None = None,
    note: str | None = None,
    reason: str = "",
    allocated: Sequence[Share] = (),
    again: bool = False,
    more_than_owed: bool = False,
    receipt: bool = False,
    send: str = "",
    to: str = "",
) -> None:
    """Void a mistyped payment and record the right one at once; what is not given stays as it was."""
    found = _to_put_right(tx, payment)
    if found.amount < 0:
        raise WrongState(
            "money given back is voided and recorded again", field="payment", value=payment,
            allowed="money received",
        )  # fmt: skip
    amount = found.amount if amount is None else amount
    before = found.receipts.filter(withdrawn_at=None).order_by("-id").values_list("number", flat=True)
    replaces = before.first() or ""
    _void(tx, found, reason=reason, instead=amount)
    take_money(
        tx, found.commission, amount=amount, received_on=received_on or found.received_on,
        what=found.what if what is None else what, method=found.method if method is None else method,
        note=read(found.note_ref) if note is None else note, allocated=allocated, again=again,
        more_than_owed=more_than_owed, receipt=receipt, send=send, to=to, replaces=replaces,
    )  # fmt: skip


def _to_put_right(tx: CommandTransaction, payment: int) -> Payment:
    tx.require_owner("money received")
    found = lookups.payment(payment)
    commission = found.commission
    tx.check_version(commission.version, what=f"commission {commission.number}")
    refuse_if_forgotten(commission.client)
    refuse_to_void(found)
    return found


def _void(tx: CommandTransaction, payment: Payment, *, reason: str, instead: Decimal) -> None:
    """Append that a payment is void; where what comes instead leaves something owed, open the order again."""
    commission = payment.commission
    held = account(commission)
    if held.invoices and held.owed + payment.amount - instead > 0:
        reopen(tx, commission, reason=_("a payment was voided"), unpaid=True)
    tx.append(
        "payment_voided",
        f"commission:{commission.number}",
        {
            "commission": commission.number,
            "payment": payment.id,
            "reason": store_private_text(reason, field="reason", longest=1000),
        },
    )


def refuse_to_void(payment: Payment) -> None:
    """Refuse if an invoice or a repayment rests on the payment, naming it."""
    if payment.voided_at is not None:
        raise AlreadyDone(
            f"voided by {person_name(payment.voided_by)} at {clock(payment.voided_at)}",
            field="payment", value=payment.id, allowed="a payment that counts",
        )  # fmt: skip
    commission = payment.commission
    counted = commission.papers.filter(kind=Paper.INVOICE, withdrawn_at=None, id__gt=payment.id)
    if numbers := list(counted.order_by("id").values_list("number", flat=True)):
        raise RestsOnPaper(
            _("invoice %(papers)s was issued with this payment on it; credit it first")
            % {"papers": ", ".join(numbers)},
            field="payment", value=payment.id, extra={"papers": numbers},
        )  # fmt: skip
    _refuse_if_given_back(payment)


def _refuse_if_given_back(payment: Payment) -> None:
    held = account(payment.commission)
    others = Account(documents=held.documents, payments=[p for p in held.payments if p != payment])
    try:
        others.check()
    except OutOfRange:
        back = [p for p in held.payments if p.amount < 0]
        said = ", ".join(f"{-p.amount} {p.currency} on {p.received_on}" for p in back)
        raise WrongState(
            _("%(said)s was given back of it; void that first") % {"said": said},
            field="payment", value=payment.id, allowed="a payment that nothing was given back of",
            extra={"payments": [p.id for p in back]},
        ) from None  # fmt: skip
