"""The receipt of a payment, and the statement of a client's account."""

from decimal import Decimal
from typing import Any

from jobs.documents.layout import Frozen, html_of
from jobs.documents.wording import clean, day, money


def receipt_html(frozen: Frozen) -> str:
    """The receipt of this frozen content."""
    payment, currency = frozen["payment"], frozen["currency"]
    return html_of(
        "receipt",
        "Receipt",
        frozen,
        {
            "amount": money(payment["amount"], currency),
            "received_on": day(payment["received_on"]),
            "what": payment["what"],
            "note": clean(payment["note"]),
            "shares": [
                {"paper": s["paper"], "amount": money(s["amount"], currency)} for s in frozen["shares"]
            ],
            "open": "" if frozen["open"] is None else money(frozen["open"], currency),
            "free": money(frozen["free"], currency) if Decimal(frozen["free"]) > 0 else "",
        },
    )


def statement_html(frozen: Frozen) -> str:
    """The statement of account of this frozen content."""
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
        "says": "Owed to us" if owed >= 0 else "In your favour",
    }
