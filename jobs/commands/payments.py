"""Payments received."""

from datetime import date
from decimal import Decimal

from django.utils import timezone

from jobs import lookups
from jobs.balance import currency_of
from jobs.errors import Invalid, WrongState
from jobs.log import Writing, command
from jobs.models import Commission
from jobs.private import keep

WHATS = ("deposit", "payment")
MOST = Decimal("100000000")


@command
def record_payment(
    log: Writing,
    *,
    commission: str,
    amount: Decimal,
    received_on: date | None = None,
    what: str = "payment",
    note: str = "",
) -> None:
    """Record money received on a commission: a deposit before the invoice, or a payment."""
    log.by_owner("money received")
    found = lookups.commission(commission)
    log.seen(found.version, what=f"commission {found.number}")
    if found.step in (Commission.Step.ENQUIRY, Commission.Step.DECLINED):
        raise WrongState(
            f"commission {commission} is {found.step}",
            field="commission",
            value=commission,
            allowed="a quoted or accepted commission",
        )
    if what not in WHATS:
        raise Invalid("no such payment", field="what", value=what, allowed=", ".join(WHATS))
    exponent = amount.as_tuple().exponent
    if not (amount.is_finite() and 0 < amount <= MOST and isinstance(exponent, int) and exponent >= -2):
        raise Invalid("not an amount", field="amount", value=amount, allowed=f"0.01 to {MOST}, two decimals")
    today = timezone.localtime(log.call.now).date()
    day = received_on or today
    if day > today:
        raise Invalid("received in the future", field="received_on", value=day, allowed=f"up to {today}")
    log.append(
        "payment_received",
        f"commission:{found.number}",
        {
            "commission": found.number,
            "amount": amount,
            "currency": currency_of(found),
            "received_on": day,
            "what": what,
            "note": keep(note, field="note", longest=1000),
        },
    )
