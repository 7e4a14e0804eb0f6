"""Base and tax of a period by category and rate, for the return of VAT or sales tax.

By the day of the invoice, or by the day of the payment (setting ``vat_basis``): cash accounting as Article
66 (b) and Article 167a of Directive 2006/112/EC let the states offer it (from memory). By the payment, what
was paid of an invoice falls on its rates as its sums do, to the cent once all of it is paid.
"""

from collections import defaultdict
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Q
from django.utils import timezone

from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import places
from calcs.money.allocation import Allocation, Bill, allocate
from jobs.domain.billing.balances import Account, accounts, moneys_of
from jobs.domain.billing.taxes import ZERO, gross_of, less, parts_of
from jobs.domain.books.periods import Period, read_period
from jobs.domain.settings import settings, tax_name
from jobs.models import Commission, Cost, Invoice, Paper, Payment

BY_PAYMENT = "payment"
Rate = tuple[str, str, Decimal]
"""Currency, category and rate [%]."""
Sums = dict[Rate, list[Decimal]]
"""Base and tax of each rate."""


def tax_summary(period: str) -> dict[str, Any]:
    """Return base and tax of a year, a quarter or a month, deposits and credits included, and tax paid."""
    found, basis = read_period(period), str(settings()["vat_basis"])
    sums, loose = _by_payment(found) if basis == BY_PAYMENT else (_by_invoice(found), {})
    bought = _bought(found)
    currencies = sorted({rate[0] for rate in sums} | set(bought) | set(loose))
    return {
        "period": found.name,
        "first": found.first,
        "last": found.last,
        "basis": basis,
        "tax_name": tax_name(),
        "accounts": [
            _account(currency, sums, loose.get(currency, ZERO), bought.get(currency, (ZERO, ZERO)))
            for currency in currencies
        ],
    }


def _account(
    currency: str, sums: Sums, loose: Decimal, bought: tuple[Decimal, Decimal]
) -> dict[str, Any]:  # fmt: skip
    rows: list[dict[str, Any]] = [
        {"category": category, "rate_pct": pct, "base": base, "tax": tax}
        for (of, category, pct), (base, tax) in sorted(sums.items())
        if of == currency and (base or tax)
    ]
    tax = sum((row["tax"] for row in rows), ZERO)
    return {
        "currency": currency,
        "rows": rows,
        "base": sum((row["base"] for row in rows), ZERO),
        "tax": tax,
        "not_invoiced": loose,
        "bought": bought[0],
        "tax_paid": bought[1],
        "to_pay": tax - bought[1],
    }


def _by_invoice(period: Period) -> Sums:
    papers = Invoice.objects.filter(
        paper__kind__in=Paper.SUMMED, paper__issued_at__gte=period.begins, paper__issued_at__lt=period.ends
    ).select_related("paper")
    sums: Sums = defaultdict(lambda: [ZERO, ZERO])
    for invoice in papers:
        _add(sums, invoice, -1 if invoice.paper.kind == Paper.CREDIT else 1)
    return sums


def _add(sums: Sums, invoice: Invoice, sign: int) -> None:
    for tax in invoice.totals:
        held = sums[invoice.currency, tax["category"], Decimal(tax["rate_pct"])]
        held[0] += sign * Decimal(tax["taxable"])
        held[1] += sign * Decimal(tax["tax"])


def _bought(period: Period) -> dict[str, tuple[Decimal, Decimal]]:
    """Return the purchases of a period and the tax paid on them, by currency."""
    sums: dict[str, tuple[Decimal, Decimal]] = {}
    costs = Cost.objects.filter(day__range=(period.first, period.last), voided_at=None)
    for currency, net, tax in costs.values_list("currency", "net", "tax"):
        before = sums.get(currency, (ZERO, ZERO))
        sums[currency] = (before[0] + net, before[1] + tax)
    return sums


def _by_payment(period: Period) -> tuple[Sums, dict[str, Decimal]]:
    """Return what was paid of invoices by rate, and what came that no invoice asks for, by currency.

    It is the difference between the end of the period and the day before it, so what a later credit note or
    payment changes counts in its period.
    """
    moved = Q(paper__issued_at__gte=period.begins, paper__issued_at__lt=period.ends)
    keys = set(Invoice.objects.filter(moved).values_list("paper__commission_id", flat=True))
    paid = Payment.objects.filter(received_on__range=(period.first, period.last), voided_at=None)
    keys |= set(paid.values_list("commission_id", flat=True))
    sums: Sums = defaultdict(lambda: [ZERO, ZERO])
    loose: dict[str, Decimal] = defaultdict(lambda: ZERO)
    for held in accounts(Commission.objects.filter(id__in=keys)).values():
        for day, sign in ((period.last, 1), (period.first - timedelta(days=1), -1)):
            _add_paid(sums, loose, held, day, sign)
    return sums, {currency: amount for currency, amount in loose.items() if amount}


def _add_paid(
    sums: Sums,
    loose: dict[str, Decimal],
    held: Account,
    day: date,
    sign: int,
) -> None:
    """Add what was paid of the papers of an order by the evening of a day, rate by rate.

    An invoice that was withdrawn since is among them until the day of its credit note.
    """
    issued = [one for one in held.documents if _day_of(one.paper) <= day]
    credits: dict[str, list[Invoice]] = defaultdict(list)
    for one in issued:
        if one.paper.kind == Paper.CREDIT:
            credits[one.paper.credits].append(one)
    bills = [one for one in issued if one.paper.kind == Paper.INVOICE]
    parts = {
        one.paper.number: less(parts_of(one), *(parts_of(note) for note in credits[one.paper.number]))
        for one in bills
    }
    totals = {number: gross_of(rates) for number, rates in parts.items()}
    came = [payment for payment in held.payments if payment.received_on <= day]
    allocation = _allocated(totals, came)
    for one in bills:
        number = one.paper.number
        total, paid, told, upto = totals[number], allocation.paid[number], ZERO, ZERO
        for (category, pct), part in parts[number].items():
            before, told = upto, told + part.gross
            share, upto = part.tax, told
            if total > 0:
                share, upto = places(part.tax * paid / total, 2), places(told * paid / total, 2)
            sum_of = sums[one.currency, category, pct]
            sum_of[0] += sign * (upto - before - share)
            sum_of[1] += sign * share
    if came:
        loose[came[0].currency] += sign * allocation.left


def _day_of(paper: Paper) -> date:
    return timezone.localtime(paper.issued_at).date()


def _allocated(totals: dict[str, Decimal], payments: list[Payment]) -> Allocation:
    bills = [Bill(number=number, total=total) for number, total in totals.items()]
    moneys = moneys_of(payments)
    try:
        return allocate(bills, moneys)
    except OutOfRange:  # given back on an earlier day than it came: that day's evening had less than nothing
        return allocate(bills, [money for money in moneys if money.amount >= 0])
