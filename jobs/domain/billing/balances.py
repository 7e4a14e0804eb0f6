"""Balances of commissions: invoiced, received, owed."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from calcs.kit.rounding import places
from calcs.money.allocation import Allocation, Bill, Money, allocate
from jobs.domain import lookups
from jobs.models import Commission, Invoice, Paper, Payment


@dataclass(frozen=True, kw_only=True)
class Balance:
    """Invoiced, received and owed; ``owed`` is None before any invoice."""

    invoiced: Decimal | None
    received: Decimal

    @property
    def owed(self) -> Decimal | None:
        return None if self.invoiced is None else self.invoiced - self.received

    def left(self, price: Decimal | None) -> Decimal | None:
        """Return what is left to pay of the invoices, or of the agreed price where that is more.

        A negative result means that too much was paid.
        """
        asked = [each for each in (self.invoiced, price) if each is not None]
        return max(asked) - self.received if asked else None

    def to_come(self, price: Decimal | None) -> Decimal:
        """Return the part of the agreed price that no invoice asks for yet."""
        return max((price or Decimal("0.00")) - (self.invoiced or 0), Decimal("0.00"))


def balance(commission: Commission) -> Balance:
    """Return the balance of a commission, from these papers and payments where both are given."""
    return account(commission).balance


@dataclass(frozen=True, kw_only=True)
class Account:
    """The valid invoices of a commission, its payments, and the allocation of payments to invoices."""

    invoices: list[Invoice]
    payments: list[Payment]
    allocation: Allocation

    @property
    def balance(self) -> Balance:
        received = places(sum((payment.amount for payment in self.payments), Decimal(0)), 2)
        invoiced = sum((invoice.total for invoice in self.invoices), Decimal(0))
        return Balance(invoiced=places(invoiced, 2) if self.invoices else None, received=received)

    def open(self, invoice: Invoice) -> Decimal:
        """Return what is still to be paid on an invoice; a negative total leaves nothing to pay."""
        return max(invoice.total, Decimal("0.00")) - self.allocation.paid[invoice.paper.number]

    @property
    def due(self) -> Decimal:
        """Return what is still to be paid on all invoices."""
        return sum((self.open(invoice) for invoice in self.invoices), Decimal("0.00"))

    @property
    def deposit_left(self) -> Decimal:
        """Return what is still to come of the deposit invoices."""
        deposits = (one for one in self.invoices if one.paper.what == Paper.DEPOSIT)
        return sum((self.open(one) for one in deposits), Decimal("0.00"))

    @property
    def first_open(self) -> Invoice | None:
        """Return the oldest invoice that is not paid."""
        return next((invoice for invoice in self.invoices if self.open(invoice) > 0), None)

    def days_late(self, today: date) -> int:
        """Return the days since the earliest due day of an open invoice; 0 where none is late."""
        open_since = [invoice.due_on for invoice in self.invoices if self.open(invoice) > 0]
        return max(0, (today - min(open_since, default=today)).days)

    def shares(self, payment: Payment) -> tuple[tuple[str, Decimal], ...]:
        return self.allocation.shares[self.payments.index(payment)]

    def summary(self, *, agreed: Decimal | None, today: date) -> "Summary":
        """Return the money of a commission in one block, as pages and the API show it."""
        sums, due = self.balance, self.due
        to_come = sums.to_come(agreed)
        late = self.days_late(today)
        state = "late" if late else "open" if due else "paid" if sums.received and not to_come else ""
        return Summary(
            agreed=agreed,
            invoiced=sums.invoiced,
            paid=sums.received,
            open=due,
            deposit_open=self.deposit_left,
            to_come=to_come,
            days_late=late,
            state=state,
        )


@dataclass(frozen=True, kw_only=True)
class Summary:
    """Agreed, invoiced, paid and open [currency]; ``to_come`` is agreed and not invoiced yet.

    ``state`` is "late" or "open" with something to pay now, "paid" once all that was agreed is paid, else "".
    """

    agreed: Decimal | None
    invoiced: Decimal | None
    paid: Decimal
    open: Decimal
    deposit_open: Decimal
    to_come: Decimal
    days_late: int
    state: str


def account(commission: Commission) -> Account:
    """Return the account of one commission."""
    return account_of(lookups.invoices(commission), lookups.payments(commission))


def accounts(commissions: Iterable[Commission]) -> dict[int, Account]:
    """Return the accounts of many commissions, in two queries."""
    commissions = list(commissions)
    keys = [commission.id for commission in commissions]
    bills: dict[int, list[Invoice]] = defaultdict(list)
    held = Invoice.objects.filter(
        paper__commission__in=keys, paper__kind=Paper.INVOICE, paper__withdrawn_at=None
    )
    for invoice in held.select_related("paper").prefetch_related("paper__sendings").order_by("id"):
        bills[invoice.paper.commission_id or 0].append(invoice)
    moneys = payments_of(commissions)
    return {key: account_of(bills[key], moneys[key]) for key in keys}


def payments_of(commissions: Collection[Commission]) -> dict[int, list[Payment]]:
    """Return the payments of commissions by commission key, in the order received."""
    if len(commissions) == 1:
        return {one.id: lookups.payments(one) for one in commissions}
    found: dict[int, list[Payment]] = defaultdict(list)
    held = Payment.objects.filter(commission__in=commissions, voided_at=None)
    for payment in held.order_by("received_on", "id"):
        found[payment.commission_id].append(payment)
    return found


def account_of(invoices: list[Invoice], payments: list[Payment]) -> Account:
    """Return the account of these valid invoices, oldest first, and payments, in the order received."""
    bills = [Bill(number=i.paper.number, total=i.total) for i in invoices]
    moneys = [
        Money(amount=p.amount, named=tuple((s["paper"], Decimal(s["amount"])) for s in p.named))
        for p in payments
    ]
    return Account(invoices=invoices, payments=payments, allocation=allocate(bills, moneys))
