"""Reads of what clients owe, by age."""

from datetime import date
from decimal import Decimal
from typing import Any

from calcs.money.allocation import AGES, OLDEST, age
from jobs.domain.billing.balances import accounts
from jobs.log.private_texts import Texts
from jobs.models import Commission, Invoice, Paper

ZERO = Decimal("0.00")
COLUMNS = tuple(name for _, name in AGES) + (OLDEST,)


def receivables(*, today: date) -> dict[str, Any]:
    """Return the open invoices by due date, and each client's sums by age, one account per currency."""
    owing = Commission.objects.filter(papers__kind=Paper.INVOICE, papers__withdrawn_at=None)
    commissions = {c.id: c for c in owing.select_related("client").distinct()}
    texts = Texts(c.client.name_ref for c in commissions.values())
    rows = []
    for key, held in accounts(commissions.values()).items():
        client = commissions[key].client
        of = {
            "commission": commissions[key].number,
            "client": {"id": client.id, "name": texts[client.name_ref]},
        }
        rows += [_row(i, held.open(i), today) | of for i in held.open_invoices]
    rows.sort(key=lambda row: (row["due_on"], row["paper"]))
    return {
        "today": today,
        "columns": list(COLUMNS),
        "invoices": rows,
        "accounts": [_aged(rows, currency) for currency in sorted({row["currency"] for row in rows})],
    }


def _row(invoice: Invoice, amount: Decimal, today: date) -> dict[str, Any]:
    late = (today - invoice.due_on).days
    return {
        "paper": invoice.paper.number,
        "currency": invoice.currency,
        "total": invoice.total,
        "open": amount,
        "due_on": invoice.due_on,
        "days_late": max(late, 0),
        "age": age(late),
    }


def _aged(rows: list[dict[str, Any]], currency: str) -> dict[str, Any]:
    """Return the sums of one currency: a line for each client, most owed first, and a line for all."""
    clients: dict[int, dict[str, Any]] = {}
    together = dict.fromkeys(COLUMNS, ZERO)
    for row in rows:
        if row["currency"] != currency:
            continue
        one = clients.setdefault(
            row["client"]["id"], {"client": row["client"], "ages": dict.fromkeys(COLUMNS, ZERO)}
        )
        one["ages"][row["age"]] += row["open"]
        together[row["age"]] += row["open"]
    lines = [_line(each) for each in clients.values()]
    lines.sort(key=lambda line: -line["open"])
    return {"currency": currency, "clients": lines, **_line({"ages": together})}


def _line(of: dict[str, Any]) -> dict[str, Any]:
    ages = [{"age": name, "amount": amount} for name, amount in of["ages"].items()]
    return {**of, "ages": ages, "open": sum(of["ages"].values(), ZERO)}
