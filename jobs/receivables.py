"""What is open: invoices with what has been paid on each, and the money that is free."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from calcs.money.allocation import Allocation, Bill, Money, allocate
from jobs.models import Commission, Invoice, Paper, Payment


@dataclass(frozen=True, kw_only=True)
class Account:
    """The invoices of a commission that hold, its payments, and which pays which."""

    invoices: list[Invoice]
    payments: list[Payment]
    allocation: Allocation

    def open(self, invoice: Invoice) -> Decimal:
        """What is still to be paid on it; nothing where its total is below nothing."""
        return max(invoice.total, Decimal("0.00")) - self.allocation.paid[invoice.paper.number]

    def shares(self, payment: Payment) -> tuple[tuple[str, Decimal], ...]:
        return self.allocation.shares[self.payments.index(payment)]


def account(commission: Commission) -> Account:
    """The account of one commission."""
    return accounts([commission])[commission.id]


def accounts(commissions: Iterable[Commission]) -> dict[int, Account]:
    """The accounts of many commissions, in two queries."""
    keys = [commission.id for commission in commissions]
    bills: dict[int, list[Invoice]] = defaultdict(list)
    moneys: dict[int, list[Payment]] = defaultdict(list)
    held = Invoice.objects.filter(
        paper__commission__in=keys, paper__kind=Paper.Kind.INVOICE, paper__withdrawn_at=None
    )
    for invoice in held.select_related("paper").order_by("id"):
        bills[invoice.paper.commission_id or 0].append(invoice)
    for payment in Payment.objects.filter(commission__in=keys, voided_at=None).order_by("received_on", "id"):
        moneys[payment.commission_id].append(payment)
    return {key: account_of(bills[key], moneys[key]) for key in keys}


def account_of(invoices: list[Invoice], payments: list[Payment]) -> Account:
    """The account of these: invoices that hold, oldest first, and payments as they came."""
    bills = [Bill(number=i.paper.number, total=i.total) for i in invoices]
    moneys = [
        Money(amount=p.amount, named=tuple((s["paper"], Decimal(s["amount"])) for s in p.named))
        for p in payments
    ]
    return Account(invoices=invoices, payments=payments, allocation=allocate(bills, moneys))
