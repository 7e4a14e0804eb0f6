"""The money of a commission in one place: what its papers ask, what was paid, and what is open.

Whoever shows money of an order takes it from ``Account`` or ``Summary``; nothing adds it up again.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property

from django.db.models import Exists, OuterRef

from calcs.kit.rounding import places
from calcs.money.allocation import Allocation, Bill, Money, allocate
from jobs.domain import lookups
from jobs.domain.billing.prices import agreed_price, price_of
from jobs.domain.billing.taxes import ZERO, Parts, less, parts_of
from jobs.models import Commission, Invoice, Offer, OfferLine, Paper, PaperSending, Payment, PriceLine


@dataclass(frozen=True, kw_only=True)
class Summary:
    """The money of an order, the same on every paper, page and answer [currency].

    Attributes
    ----------
    agreed : Decimal or None
        Price with tax, with all accepted changes; None before a price is set, and once nothing is agreed.
    changed : Decimal
        Part of ``agreed`` that accepted change orders added; negative where they took off.
    invoiced : Decimal or None
        Total of all invoices as issued; None before the first.
    credited : Decimal
        Total of all credit notes. Invoiced less credited is what the client is asked for.
    paid : Decimal
        Received, less what was given back.
    open : Decimal
        Invoiced, not credited and not paid: to pay now.
    deposit_open : Decimal
        Part of ``open`` on deposit invoices.
    to_come : Decimal
        Agreed and not invoiced yet; nothing once the whole is invoiced.
    left : Decimal or None
        Open and to come, less what no invoice needs: still to pay on this order. None without a price and
        an invoice.
    in_favor : Decimal
        Paid over all that is asked and to come: the client's.
    late : Decimal
        Part of ``open`` whose day has passed.
    days_late : int
        Days since the earliest of those days [d].
    state : {"late", "open", "paid", ""}
        "late" or "open" with something to pay now, "paid" once nothing is left to pay.
    """

    agreed: Decimal | None
    changed: Decimal
    invoiced: Decimal | None
    credited: Decimal
    paid: Decimal
    open: Decimal
    deposit_open: Decimal
    to_come: Decimal
    left: Decimal | None
    in_favor: Decimal
    late: Decimal
    days_late: int
    state: str


@dataclass(frozen=True, kw_only=True)
class Account:
    """All invoices and credit notes of a commission, oldest first, and its valid payments, as received."""

    documents: list[Invoice]
    payments: list[Payment]

    @cached_property
    def invoices(self) -> list[Invoice]:
        """Return the invoices that hold."""
        return [one for one in self.documents if one.paper.asks_for_money]

    @cached_property
    def _credits(self) -> dict[str, list[Invoice]]:
        """Return the credit notes by the number of their invoice."""
        found = defaultdict(list)
        for one in self.documents:
            if one.paper.kind == Paper.CREDIT:
                found[one.paper.credits].append(one)
        return found

    def credits(self, invoice: Invoice) -> list[Invoice]:
        """Return the credit notes of an invoice, oldest first."""
        return self._credits.get(invoice.paper.number, [])

    def credited(self, invoice: Invoice) -> Decimal:
        """Return what was credited of an invoice."""
        return sum((one.total for one in self.credits(invoice)), ZERO)

    def parts(self, invoice: Invoice) -> Parts:
        """Return what an invoice still asks for, by tax rate: base and tax less its credit notes."""
        return less(parts_of(invoice), *(parts_of(one) for one in self.credits(invoice)))

    def asked(self, invoice: Invoice) -> Decimal:
        """Return what an invoice still asks for, paid or not: its total less its credit notes."""
        return invoice.total - self.credited(invoice)

    @cached_property
    def allocation(self) -> Allocation:
        """Return which money pays which invoice."""
        bills = [Bill(number=one.paper.number, total=self.asked(one)) for one in self.invoices]
        return allocate(bills, moneys_of(self.payments))

    def check(self) -> None:
        """Raise ``OutOfRange`` where more was given back than there was."""
        _ = self.allocation

    def open(self, invoice: Invoice) -> Decimal:
        """Return what is still to be paid on an invoice; a negative total leaves nothing to pay."""
        if not invoice.paper.asks_for_money:
            return ZERO
        return max(self.asked(invoice), ZERO) - self.allocation.paid[invoice.paper.number]

    @property
    def open_invoices(self) -> list[Invoice]:
        """Return the invoices with something to pay, oldest first."""
        return [one for one in self.invoices if self.open(one) > 0]

    @property
    def deposit_open(self) -> Decimal:
        """Return what is still to come of the deposit invoices."""
        deposits = (one for one in self.invoices if one.paper.what == Paper.DEPOSIT)
        return sum((self.open(one) for one in deposits), ZERO)

    @property
    def is_billed(self) -> bool:
        """Return whether an invoice of the whole holds."""
        return any(not one.paper.what for one in self.invoices)

    @property
    def asked_in_all(self) -> Decimal:
        """Return what the invoices that hold ask for, paid or not."""
        return sum((self.asked(one) for one in self.invoices), ZERO)

    @property
    def paid(self) -> Decimal:
        """Return what was received, less what was given back."""
        return places(sum((payment.amount for payment in self.payments), ZERO), 2)

    @property
    def owed(self) -> Decimal:
        """Return what is to pay now on all invoices together; negative where more was paid."""
        return self.asked_in_all - self.paid

    @property
    def free(self) -> Decimal:
        """Return what was received and no invoice needs."""
        return max(-self.owed, ZERO)

    @property
    def currency(self) -> str:
        """Return the currency of its papers and payments, which is one; empty without any."""
        found = [one.currency for one in self.documents] + [one.currency for one in self.payments]
        return found[0] if found else ""

    def shares(self, payment: Payment) -> tuple[tuple[str, Decimal], ...]:
        return self.allocation.shares[self.payments.index(payment)]

    def paid_on(self, invoice: Invoice) -> date | None:
        """Return the day on which an invoice was paid in full; None where it is open or asked for nothing."""
        if not invoice.paper.asks_for_money or self.asked(invoice) <= 0 or self.open(invoice):
            return None
        number = invoice.paper.number
        days = [one.received_on for one in self.payments if dict(self.shares(one)).get(number)]
        return max(days, default=None)

    def with_document(self, document: Invoice) -> "Account":
        """Return this account with an invoice or credit note that is about to be issued."""
        return Account(documents=[*self.documents, document], payments=self.payments)

    def summary(self, *, agreed: Decimal | None, changed: Decimal, today: date) -> Summary:
        """Return the money of the order in one block, from its agreed price."""
        billed = [one.total for one in self.documents if one.paper.kind == Paper.INVOICE]
        credited = [one.total for one in self.documents if one.paper.kind == Paper.CREDIT]
        to_come = ZERO if self.is_billed or agreed is None else max(agreed - self.asked_in_all, ZERO)
        rest = self.owed + to_come
        late = [one for one in self.open_invoices if one.due_on < today]
        opened = sum((self.open(one) for one in self.invoices), ZERO)
        is_asked = agreed is not None or bool(self.invoices)
        is_paid = is_asked and rest <= 0 < self.paid
        return Summary(
            agreed=agreed,
            changed=changed,
            invoiced=sum(billed, ZERO) if billed else None,
            credited=sum(credited, ZERO),
            paid=self.paid,
            open=opened,
            deposit_open=self.deposit_open,
            to_come=to_come,
            left=max(rest, ZERO) if is_asked else None,
            in_favor=max(-rest, ZERO),
            late=sum((self.open(one) for one in late), ZERO),
            days_late=max((today - min(one.due_on for one in late)).days, 0) if late else 0,
            state="late" if late else "open" if opened else "paid" if is_paid else "",
        )


def moneys_of(payments: Iterable[Payment]) -> list[Money]:
    """Return payments as they are allocated, with the invoices that they name."""
    return [
        Money(amount=p.amount, named=tuple((s["paper"], Decimal(s["amount"])) for s in p.named))
        for p in payments
    ]


def summary_of(
    commission: Commission, *, today: date, held: Account | None = None, offers: Iterable[Offer] | None = None
) -> Summary:
    """Return the money of one order; ``held`` is its account and ``offers`` all its offers, read before."""
    lines = lookups.price_lines(commission)
    offers = lookups.accepted_offers(commission) if offers is None else offers
    changes = [o.id for o in offers if o.kind == Offer.Kind.CHANGE and o.step == Offer.Step.ACCEPTED]
    added = OfferLine.objects.filter(offer__in=changes) if changes and lines else ()
    return _summary(commission, lines, added, held or account(commission), today)


def summaries(held: Mapping[Commission, Account], *, today: date) -> dict[int, Summary]:
    """Return the money of many orders from their accounts, in two queries."""
    lines: dict[int, list[PriceLine]] = defaultdict(list)
    for line in PriceLine.objects.filter(commission__in=held).order_by("position"):
        lines[line.commission_id].append(line)
    added: dict[int, list[OfferLine]] = defaultdict(list)
    changes = OfferLine.objects.filter(
        offer__commission__in=held, offer__kind=Offer.Kind.CHANGE, offer__step=Offer.Step.ACCEPTED
    )
    for change in changes.select_related("offer"):
        added[change.offer.commission_id].append(change)
    return {one.id: _summary(one, lines[one.id], added[one.id], of, today) for one, of in held.items()}


def _summary(
    commission: Commission, lines: list[PriceLine], added: Iterable[OfferLine], held: Account, today: date
) -> Summary:
    """Return the money of an order from the lines of its price and of its accepted change orders."""
    agreed = agreed_price(commission, lines)
    changed = ZERO if agreed is None else _changed_price(lines, added)
    return held.summary(agreed=agreed, changed=changed, today=today)


def account(commission: Commission) -> Account:
    """Return the account of one commission."""
    return Account(documents=lookups.documents(commission), payments=lookups.payments(commission))


def accounts(commissions: Iterable[Commission]) -> dict[int, Account]:
    """Return the accounts of many commissions, in two queries; ``was_sent`` says what arrived."""
    commissions = list(commissions)
    keys = [commission.id for commission in commissions]
    papers: dict[int, list[Invoice]] = defaultdict(list)
    issued = Invoice.objects.filter(paper__commission__in=keys, paper__kind__in=Paper.SUMMED)
    for one in issued.select_related("paper").annotate(was_sent=_was_sent()).order_by("id"):
        papers[one.paper.commission_id or 0].append(one)
    moneys: dict[int, list[Payment]] = defaultdict(list)
    for payment in _payments(commissions):
        moneys[payment.commission_id].append(payment)
    return {key: Account(documents=papers[key], payments=moneys[key]) for key in keys}


def _was_sent() -> Exists:
    """Return a subquery whether the paper of an invoice itself went to the client and arrived."""
    gone = PaperSending.objects.filter(paper=OuterRef("paper"), failed_at=None)
    return Exists(gone.exclude(occasion=PaperSending.REMINDER))


def _payments(commissions: Collection[Commission]) -> Iterable[Payment]:
    if len(commissions) == 1:
        return (payment for one in commissions for payment in lookups.payments(one))
    return Payment.objects.filter(commission__in=commissions, voided_at=None).order_by("received_on", "id")


def _changed_price(lines: list[PriceLine], added: Iterable[OfferLine]) -> Decimal:
    """Return what accepted change orders added to the agreed price, with tax: what it is less without them.

    A line of a change order that was taken out of the price by hand counts no more.
    """
    rest = list(lines)
    for change in sorted(added, key=lambda one: (one.offer_id, one.position), reverse=True):
        twin = next((n for n in reversed(range(len(rest))) if _is_twin(rest[n], change)), None)
        if twin is not None:
            del rest[twin]
    if len(rest) == len(lines):
        return ZERO
    return price_of(lines).sums.gross - (price_of(rest).sums.gross if rest else ZERO)


def _is_twin(line: PriceLine, added: OfferLine) -> bool:
    names = ("quantity", "unit_price", "unit_code", "tax_category", "tax_pct", "with_tax")
    return all(getattr(line, name) == getattr(added, name) for name in names)
