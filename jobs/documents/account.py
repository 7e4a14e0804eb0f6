"""The receipt of a payment, and the statement of a client's account."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext_noop as _

from calcs.money.allocation import AGES, OLDEST, age
from jobs.documents.kit.layout import Frozen, commission_line, facts, html_of
from jobs.documents.kit.order import order_of
from jobs.documents.kit.wording import amount_in_words, clean, day, money
from jobs.domain.papers.kinds import PaperKind, register
from jobs.models import Paper

METHOD_WORDS: Mapping[str, str] = {
    "cash": "in cash", "check": "by check", "transfer": "by bank transfer", "card": "by card",
}  # fmt: skip
AGE_WORDS = {"not due": "Not yet due"}


def receipt_html(frozen: Frozen) -> str:
    """Return the HTML of a receipt from its frozen content."""
    payment, currency, replaces = frozen["payment"], frozen["currency"], frozen.get("replaces", "")
    return html_of(
        "receipt",
        "Receipt",
        frozen,
        {
            "amount": money(payment["amount"], currency),
            "in_words": amount_in_words(Decimal(payment["amount"]), currency),
            "rows": facts(
                ("For", _for(frozen)),
                ("Received", _received(payment)),
                ("Note", clean(payment["note"])),
                ("Order", _order(frozen)),
                ("Replaces", f"receipt {replaces}, which no longer holds" if replaces else ""),
            ),
        },
    )


def _for(frozen: Frozen) -> str:
    """Return what a payment is for: the invoices that it pays, and the order."""
    payment, shares = frozen["payment"], frozen["shares"]
    whole = [share for share in shares if Decimal(share["amount"]) == Decimal(payment["amount"])]
    paid = [
        f"invoice {share['paper']}" + ("" if share in whole else f": {money(share['amount'])}")
        for share in shares
    ]
    return ", ".join([payment["what"], *paid, f"commission {commission_line(frozen)}"])


def _received(payment: Frozen) -> str:
    """Return when money came and how; money of no named kind came as it came."""
    return ", ".join(filter(None, (day(payment["received_on"]), METHOD_WORDS.get(payment.get("method", "")))))


def _order(frozen: Frozen) -> str:
    """Return how the whole order stands with this payment."""
    currency, order = frozen["currency"], order_of(frozen)
    left, favor = order["left"], order["in_favor"] or Decimal(0)
    due, free = Decimal(frozen["open"] or 0), Decimal(frozen["free"])
    said = []
    if order["agreed"] is not None:
        said.append(f"{money(order['agreed'], currency)} agreed, with tax")
        said.append(f"with this you have paid {money(order['paid'] or Decimal(0))}")
    if favor:
        said.append(f"{money(favor)} is in your favor")
    elif left:
        said.append(f"{money(left)} is still to come")
    elif left is not None:
        said.append("all of it is paid")
    if due > 0:
        said.append(f"{money(due)} of it is invoiced and open")
    if free > 0 and free != favor:
        said.append(f"{money(free)} is received and not yet billed")
    return "; ".join(said)


def statement_html(frozen: Frozen) -> str:
    """Return the HTML of a statement of account from its frozen content."""
    accounts = [_account(account) for account in frozen["accounts"]]
    as_of = day(frozen["issued_on"]) or "not issued"
    owed = [(f"Owed, {each['currency']}", each["owed"]) for each in accounts if each["is_owed"]]
    return html_of(
        "statement",
        "Statement of account",
        frozen,
        {
            "accounts": accounts,
            "is_owed": bool(owed),
            "facts": facts(("As of", as_of), *owed),
        },
    )


def _account(account: Frozen) -> dict[str, Any]:
    currency, ages = account["currency"], [*(name for _, name in AGES), OLDEST]
    owed = Decimal(account["moves"][-1]["owed"]) if account["moves"] else Decimal(0)
    rows = [(row, age(row["late"]), Decimal(row["amount"])) for row in account["open"]]
    sums = [sum((amount for _, how_old, amount in rows if how_old == name), Decimal(0)) for name in ages]
    return {
        "currency": currency,
        "moves": [
            {
                **{name: move[name] for name in ("what", "commission")},
                "on": day(move["on"]),
                "amount": money(move["amount"]),
                "owed": money(move["owed"]),
            }
            for move in account["moves"]
        ],
        "ages": [AGE_WORDS.get(name, f"{name} days".capitalize()) for name in ages],
        "open": [
            {
                "paper": row["paper"],
                "due_on": day(row["due_on"]),
                "by_age": [money(amount) if how_old == name else "" for name in ages],
            }
            for row, how_old, amount in rows
        ],
        "sums_by_age": [money(amount) for amount in sums],
        "rows": _to_owed(sum(sums, Decimal(0)), Decimal(account["free"]), owed, currency),
        "owed": money(abs(owed), currency),
        "is_owed": owed > 0,
        "says": "Owed to us" if owed >= 0 else "In your favor",
    }


def _to_owed(opened: Decimal, free: Decimal, owed: Decimal, currency: str) -> list[dict[str, str]]:
    """Return the rows that lead from the open invoices to what is owed; none where they are the same."""
    other = owed - opened + free
    rows = (("Open invoices", opened), ("Received and not yet billed", -free), ("Credited otherwise", other))
    return [
        {"what": what, "amount": money(amount, currency)}
        for what, amount in rows
        if amount and owed != opened
    ]


register(
    PaperKind(
        key=Paper.RECEIPT,
        prefix="R",
        title=_("Receipt"),
        layout=receipt_html,
        is_kept_by_law=True,
        is_for_client=True,
        place=4,
    )
)
register(
    PaperKind(
        key=Paper.STATEMENT, prefix="S", title=_("Statement of account"), layout=statement_html, place=5
    )
)
