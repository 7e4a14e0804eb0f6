"""The money of the whole order, as a paper of money froze it when it was issued."""

from decimal import Decimal
from typing import Any

from jobs.documents.kit.layout import Frozen
from jobs.documents.kit.tax_words import tax_within
from jobs.documents.kit.wording import day, money
from jobs.models import Paper

ZERO = Decimal("0.00")
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


def strip_of(frozen: Frozen) -> dict[str, Any]:
    """Return the figures of the whole order as a row of cells; nothing for papers that froze none."""
    if not frozen.get("order"):
        return {}
    order, tax = order_of(frozen), tax_within(frozen)
    favor = order["in_favor"] or ZERO
    due = day(frozen["due_on"]) if frozen["kind"] == Paper.INVOICE else ""
    others = (order["open"] or ZERO) - max(Decimal(frozen["due"]), ZERO) if due else ZERO
    until = "with other invoices" if others > 0 else f"by {due}" if due else ""
    changed = order["changed"] or ZERO
    rows: list[tuple[str, Decimal | None, str]] = [
        ("Agreed", order["agreed"], f"{money(changed)} by changes" if changed else ""),
        ("Invoiced", order["invoiced"], "with this one" if due else ""),
        ("Credited", order["credited"] or None, "" if due else "with this note"),
        ("Paid", order["paid"], ""),
        ("In your favor", favor, "")
        if favor
        else ("To pay now" if due else "Open", order["open"], until if order["open"] else ""),
        ("Still to come", order["to_come"], ""),
    ]
    return {
        "title": f"Commission {frozen['commission']['number']} so far, in {frozen['currency']} with {tax}",
        "cells": [
            {
                "what": what, "amount": money(amount), "under": under,
                "is_now": bool(due) and what in ("To pay now", "In your favor"),
            }
            for what, amount, under in rows
            if amount is not None
        ],
    }  # fmt: skip
