"""Profit of a year by order and by month: an order counts, whole, in the month of its invoice."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils import timezone

from calcs.kit.rounding import places
from jobs.domain.books.actual import MINUTES, ZERO, Sheet, sheets
from jobs.domain.books.periods import read_period, read_year
from jobs.log.private_texts import Texts
from jobs.models import Commission, Paper

MONTHS = range(1, 13)


@dataclass(frozen=True, kw_only=True)
class Order:
    """An order with the month of its invoice, and what it cost and brought."""

    commission: Commission
    year: int
    month: int
    sheet: Sheet


def profit_of_year(year: int) -> dict[str, Any]:
    """Return income, costs and profit of a year and the year before, a currency each, without tax.

    An order counts once the invoice of the whole is issued, with all its income and all its costs. What is
    not known of it is listed with it.
    """
    read_year(str(year))
    first, last = read_period(str(year - 1)), read_period(str(year))
    orders = _orders(first.begins, last.ends)
    texts = Texts(
        ref
        for order in orders
        for ref in (order.commission.title_ref, order.commission.client.name_ref)
        if order.year == year
    )
    currencies = sorted({order.sheet.currency for order in orders})
    return {
        "year": year,
        "accounts": [
            _account([o for o in orders if o.sheet.currency == currency], currency, year, texts)
            for currency in currencies
        ],
    }


def _orders(begins: Any, ends: Any) -> list[Order]:
    """Return the orders whose newest invoice of the whole falls into this time, by its moment."""
    issued: dict[int, Any] = {}
    papers = Paper.objects.filter(kind=Paper.INVOICE, what="", withdrawn_at=None).order_by("issued_at")
    for key, at in papers.values_list("commission_id", "issued_at"):
        if key is not None:
            issued[key] = at
    within = {key: at for key, at in issued.items() if begins <= at < ends}
    commissions = list(Commission.objects.filter(id__in=within).select_related("client"))
    found = sheets(commissions)
    days = {key: timezone.localtime(at).date() for key, at in within.items()}
    orders = [
        Order(commission=c, year=days[c.id].year, month=days[c.id].month, sheet=found[c.id])
        for c in sorted(commissions, key=lambda c: (within[c.id], c.number))
    ]
    return orders


def _account(orders: Sequence[Order], currency: str, year: int, texts: Texts) -> dict[str, Any]:
    of_year = [order for order in orders if order.year == year]
    by_month: dict[int, list[Order]] = defaultdict(list)
    for order in of_year:
        by_month[order.month].append(order)
    return {
        "currency": currency,
        **_sums(of_year),
        "before": _sums(order for order in orders if order.year != year),
        "months": [{"month": month, **_sums(by_month[month])} for month in MONTHS],
        "commissions": [
            {
                "commission": order.commission.number,
                "title": texts[order.commission.title_ref],
                "client": texts[order.commission.client.name_ref],
                "month": order.month,
                "unknown": order.sheet.unknown,
                **_sums([order]),
            }
            for order in reversed(of_year)
        ],
    }


def _sums(orders: Iterable[Order]) -> dict[str, Any]:
    found = [order.sheet for order in orders]
    income = sum((sheet.income or ZERO for sheet in found), ZERO)
    costs = sum((sheet.costs for sheet in found), ZERO)
    minutes = sum(sheet.minutes for sheet in found)
    return {
        "orders": len(found),
        "income": income,
        "costs": costs,
        "profit": income - costs,
        "minutes": minutes,
        "an_hour": places((income - costs) * MINUTES / Decimal(minutes), 2) if minutes else None,
        "not_whole": sum(bool(sheet.unknown) for sheet in found),
    }
