"""The receipt of a payment, and the statement of a client's account."""

from decimal import Decimal
from typing import Any

from django.utils.translation import gettext_noop as _

from jobs.documents.kit.layout import Frozen, html_of
from jobs.documents.kit.order import order_of
from jobs.documents.kit.wording import clean, day, money
from jobs.domain.papers.kinds import PaperKind, register
from jobs.models import Paper


def receipt_html(frozen: Frozen) -> str:
    """Return the HTML of a receipt from its frozen content."""
    payment, currency = frozen["payment"], frozen["currency"]
    return html_of(
        "receipt",
        "Receipt",
        frozen,
        {
            "amount": money(payment["amount"], currency),
            "received_on": day(payment["received_on"]),
            "what": _by(payment["what"], payment.get("method", "")),
            "note": clean(payment["note"]),
            "shares": [
                {"paper": s["paper"], "amount": money(s["amount"], currency)} for s in frozen["shares"]
            ],
            "rows": _of_order(frozen),
        },
    )


def _by(what: str, method: str) -> str:
    """Return what a payment is and how it came; money of no named kind came as it came."""
    if method in ("", "other"):
        return what
    return f"{what}, in cash" if method == "cash" else f"{what}, by {method}"


def _of_order(frozen: Frozen) -> list[dict[str, str]]:
    """Return what is agreed, received and still to be paid on the whole order, and what is invoiced."""
    order, opened, free = order_of(frozen), frozen["open"], Decimal(frozen["free"])
    left = order["left"]
    rows = []
    if order["agreed"] is not None:
        rows.append(("Agreed for this order, with tax", order["agreed"]))
        rows.append(("Received so far, with this", order["paid"] or Decimal(0)))
    if order["in_favor"]:
        rows.append(("In your favor", order["in_favor"]))
    elif left is not None:
        rows.append(("Still to be paid on this order", left))
    if opened is not None and Decimal(opened) != left:
        rows.append(("Invoiced and open", Decimal(opened)))
    if free > 0 and free != order["in_favor"]:
        rows.append(("Received and not yet billed", free))
    return [{"what": what, "amount": money(amount, frozen["currency"])} for what, amount in rows]


def statement_html(frozen: Frozen) -> str:
    """Return the HTML of a statement of account from its frozen content."""
    return html_of(
        "statement",
        "Statement of account",
        frozen,
        {"accounts": [_account(account) for account in frozen["accounts"]]},
    )


def _account(account: Frozen) -> dict[str, Any]:
    currency = account["currency"]
    owed = Decimal(account["moves"][-1]["owed"]) if account["moves"] else Decimal(0)
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
        "open": [
            {
                "paper": row["paper"],
                "due_on": day(row["due_on"]),
                "late": f"{row['late']} days late" if row["late"] else "",
                "amount": money(row["amount"]),
            }
            for row in account["open"]
        ],
        "free": money(account["free"], currency) if Decimal(account["free"]) > 0 else "",
        "owed": money(abs(owed), currency),
        "says": "Owed to us" if owed >= 0 else "In your favor",
    }


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
