"""The money of the whole order, as a paper of money froze it when it was issued."""

from decimal import Decimal

from jobs.documents.kit.layout import Frozen
from jobs.documents.kit.wording import money

ZERO = Decimal("0.00")
Row = tuple[str, Decimal]
ALWAYS = ("changed", "credited", "paid", "open", "to_come", "in_favor", "late")
FIGURES = ("agreed", "invoiced", "left", *ALWAYS)


def order_of(frozen: Frozen) -> dict[str, Decimal | None]:
    """Return the figures of ``balances.Summary`` that a paper froze; older papers held fewer of them."""
    said = frozen.get("order") or {}
    order = {name: Decimal(said[name]) if said.get(name) is not None else None for name in FIGURES}
    to_pay = Decimal(said.get("to_pay") or said.get("left") or 0)
    fallback = {
        "paid": Decimal(said.get("received", 0)), "open": max(to_pay, ZERO), "in_favor": max(-to_pay, ZERO),
    }  # fmt: skip
    return {
        name: fallback.get(name, ZERO) if name not in said and name in ALWAYS else amount
        for name, amount in order.items()
    }


def order_rows(frozen: Frozen) -> list[Row]:
    """Return agreed, invoiced, credited, paid, to pay now and to come in words; nothing of no account."""
    order = order_of(frozen)
    favor = order["in_favor"] or ZERO
    rows = (
        ("Agreed, with tax", order["agreed"]),
        ("Of it by changes", order["changed"] or None),
        ("Invoiced", order["invoiced"]),
        ("Credited", order["credited"] or None),
        ("Paid", order["paid"]),
        ("In your favor", favor) if favor else ("To pay now", order["open"]),
        ("Still to come", order["to_come"]),
    )
    return [(what, amount) for what, amount in rows if amount is not None]


def order_cells(frozen: Frozen) -> list[dict[str, str]]:
    """Return the rows with their amounts as printed."""
    return [
        {"what": what, "amount": money(amount, frozen["currency"])} for what, amount in order_rows(frozen)
    ]
