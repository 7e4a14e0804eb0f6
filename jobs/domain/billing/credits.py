"""Credit notes: take an invoice back, or a part of it by lines, quantities or a sum.

An invoice that is credited in part holds on with what is left of it. One of which nothing is left no longer
holds, and its price may be invoiced again.
"""

import json
from collections import defaultdict
from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from calcs.kit.rounding import places
from calcs.money.invoice import line_net
from jobs.core.errors import AlreadyDone, Invalid, RestsOnPaper, WrongState
from jobs.domain import lookups
from jobs.domain.billing.balances import Account, account
from jobs.domain.billing.deposits import line_off, lines_of_parts, sums_of
from jobs.domain.billing.invoice_commands import issue_summed
from jobs.domain.billing.invoices import order_with
from jobs.domain.billing.taxes import NOTHING, ZERO, Part, Parts, Rate, gross_of, less, plus, totals_of
from jobs.domain.checks import about, at_most, has_reason
from jobs.domain.waits.closing import close_if_settled
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import read
from jobs.models import Invoice, Paper

Frozen = dict[str, Any]
FIGURES = ("quantity", "unit_price", "tax_pct", "amount", "typed_price", "typed_amount", "gross")


@dataclass(frozen=True, kw_only=True)
class CreditLine:
    """A line of the invoice by its place, from 1, and how many of it; without a quantity all that is left."""

    line: int
    quantity: Decimal | None = None


@command
def credit_invoice(
    tx: CommandTransaction,
    *,
    paper: str,
    reason: str,
    lines: Sequence[CreditLine] = (),
    amount: Decimal | None = None,
) -> None:
    """Credit an invoice by a credit note with its own number: all that is left of it, some lines, or a sum.

    ``amount`` is a sum with tax, which falls on the tax rates as what is left does. Payments stay on the
    commission. A delivered order of which nothing is owed any more is closed.
    """
    tx.require_owner("a credit note")
    found = lookups.paper(paper)
    tx.check_version(found.version, what=found.stream.replace(":", " "))
    _refuse_unless_open(found)
    has_reason(reason, what="a credit note")
    commission = found.commission
    assert commission is not None, "an invoice is of a commission"
    held = account(commission)
    invoice = next(one for one in held.invoices if one.paper.number == paper)
    said: Frozen = json.loads(read(found.frozen_ref))
    if lines and amount is not None:
        raise Invalid("lines or a sum, not both", field="amount", value=amount, allowed="one of them")
    left = held.parts(invoice)
    if lines:
        shown, parts = _of_lines(held, invoice, said, lines)
    elif amount is not None:
        parts = _share_of(left, amount, said["currency"])
        shown = lines_of_parts(parts, f"Credited of invoice {paper}")
    else:
        shown, parts = _all_lines(held, invoice, said), left
    is_part = any(part.base or part.tax for part in less(left, parts).values())
    content = _content(held, invoice, said, shown, parts, is_part=is_part, today=tx.call.day)
    what = Paper.PART if is_part else ""
    issue_summed(
        tx, commission, Paper.CREDIT, {**content, "credits": paper, "reason": reason.strip(), "what": what},
        credits=paper, what=what,
    )  # fmt: skip
    if is_part:
        close_if_settled(tx, commission)


def _refuse_unless_open(paper: Paper) -> None:
    if paper.kind != Paper.INVOICE or paper.commission is None:
        raise about(paper, "is no invoice", allowed="invoices")
    if paper.withdrawn_at:
        notes = Paper.objects.filter(credits=paper.number).order_by("id").values_list("number", flat=True)
        raise about(paper, f"is credited by {', '.join(notes)}", allowed="an open invoice", error=AlreadyDone)
    if paper.is_forgotten:
        raise WrongState(
            f"what {paper.number} says is forgotten, so no credit note can repeat it",
            field="paper", value=paper.number, allowed="an invoice whose words are kept",
        )  # fmt: skip
    if paper.what == Paper.DEPOSIT:
        _refuse_if_taken_off(paper)


def _refuse_if_taken_off(deposit: Paper) -> None:
    assert deposit.commission is not None
    whole = deposit.commission.papers.filter(kind=Paper.INVOICE, what="", withdrawn_at=None).first()
    if whole is not None:
        raise RestsOnPaper(
            f"invoice {whole.number} takes {deposit.number} off; that one has to be credited first",
            field="paper",
            value=deposit.number,
            extra={"papers": [whole.number]},
        )


def _content(
    held: Account, invoice: Invoice, said: Frozen, shown: list[Frozen], parts: Parts, *, is_part: bool,
    today: date,
) -> Frozen:  # fmt: skip
    """Return what a credit note says: the parties of its invoice, what is credited, the order after it."""
    sums = sums_of(shown, paid=ZERO, taxes=parts)
    return {
        **{name: said[name] for name in said if name not in ("deposits", "order", "number", "issued_on")},
        "lines": shown,
        "payments": [],
        "net": sums.net,
        "tax": sums.tax,
        "total": sums.gross,
        "paid_before": ZERO,
        "due": sums.gross,
        "due_on": invoice.due_on,
        "totals": _reasoned(totals_of(sums), said),
        "left": ZERO if not is_part else held.asked(invoice) - sums.gross,
        "order": _after(held, invoice, sums.gross, is_part=is_part, today=today),
    }


def _reasoned(totals: list[Frozen], said: Frozen) -> list[Frozen]:
    """Return totals with the reasons that stand on the invoice."""
    names = ("reason", "reason_code")
    known = {tax["category"]: {n: tax[n] for n in names if n in tax} for tax in said["totals"]}
    return [{**tax, **known.get(tax["category"], {})} for tax in totals]


def _after(held: Account, invoice: Invoice, total: Decimal, *, is_part: bool, today: date) -> Frozen:
    """Return the money of the order with the credit note that is about to be issued."""
    commission, documents = invoice.paper.commission, list(held.documents)
    assert commission is not None, "an invoice is of a commission"
    if not is_part:
        gone = copy(invoice)
        gone.paper = copy(invoice.paper)
        gone.paper.withdrawn_at = invoice.paper.issued_at  # any moment: it no longer holds
        documents[documents.index(invoice)] = gone
    return order_with(
        commission, Account(documents=documents, payments=held.payments),
        Paper(kind=Paper.CREDIT, credits=invoice.paper.number), total=total, due_on=invoice.due_on,
        today=today,
    )  # fmt: skip


def _all_lines(held: Account, invoice: Invoice, said: Frozen) -> list[Frozen]:
    """Return the lines of the invoice, less those of earlier credit notes."""
    lines = [_typed(line) for line in said["lines"]]
    off = [
        line_off(f"Less credit note {note.paper.number}", rate, part, said["currency"])
        for note in held.credits(invoice)
        for rate, part in held.parts(note).items()
        if part.base or part.tax
    ]
    return [*lines, *off]


def _typed(line: Frozen) -> Frozen:
    """Return a frozen line with its figures as numbers."""
    figures = {name: Decimal(line[name]) for name in FIGURES if name in line}
    return {**line, **figures}


def credited_quantities(held: Account, invoice: Invoice) -> dict[int, Decimal]:
    """Return how many of each line of an invoice were credited by its lines, by place from 1."""
    found: dict[int, Decimal] = defaultdict(Decimal)
    for note in held.credits(invoice):
        for line in json.loads(read(note.paper.frozen_ref))["lines"]:
            if "of_line" in line:
                found[line["of_line"]] += Decimal(line["of_quantity"])
    return found


def creditable_lines(paper: Paper) -> list[Frozen]:
    """Return the lines of an invoice that can be credited, with how many are left of each."""
    if not paper.asks_for_money or paper.is_forgotten or paper.commission is None:
        return []
    held = account(paper.commission)
    gone = credited_quantities(held, next(one for one in held.invoices if one.paper == paper))
    lines = [_typed(line) for line in json.loads(read(paper.frozen_ref))["lines"]]
    return [
        {**line, "line": n, "left": line["quantity"] - gone[n]}
        for n, line in enumerate(lines, 1)
        if line["amount"] > 0 and line["quantity"] > gone[n]
    ]


def _of_lines(
    held: Account, invoice: Invoice, said: Frozen, asked: Sequence[CreditLine]
) -> tuple[list[Frozen], Parts]:
    """Return these lines as credited, with base and tax by rate; refuse more than is left."""
    gone, shown = credited_quantities(held, invoice), []
    seen: set[int] = set()
    for n, one in enumerate(asked):
        field = f"lines/{n}"
        if not 1 <= one.line <= len(said["lines"]) or one.line in seen:
            says, allowed = "no such line, or named twice", f"1 to {len(said['lines'])}, each once"
            raise Invalid(says, field=f"{field}/line", value=one.line, allowed=allowed)
        seen.add(one.line)
        shown.append(_credited(_typed(said["lines"][one.line - 1]), one, gone[one.line], field))
    taken_off = [one["paper"] for one in said.get("deposits", [])]
    deposits = [held.parts(one) for one in held.invoices if one.paper.number in taken_off]
    left = held.parts(invoice)
    parts = _parts_of_lines(plus(left, *deposits), shown, invoice)
    if gross_of(parts) > gross_of(left):
        says = f"more than is left of {invoice.paper.number}"
        allowed = f"up to {gross_of(left)} {said['currency']} with tax"
        raise Invalid(says, field="lines", value=gross_of(parts), allowed=allowed)
    return shown, parts


def _credited(line: Frozen, asked: CreditLine, gone: Decimal, field: str) -> Frozen:
    """Return one line as credited: what this many come to after those that were credited before."""
    if line["amount"] <= 0:
        says, allowed = "this line takes off, so it cannot be credited", "a line above 0, or a sum"
        raise Invalid(says, field=f"{field}/line", value=asked.line, allowed=allowed)
    left = line["quantity"] - gone
    count = left if asked.quantity is None else asked.quantity
    if not (count.is_finite() and 0 < count <= left):
        allowed = f"above 0, up to {left.normalize():f}" if left else "another line: nothing of it is left"
        raise Invalid("not so many are left", field=f"{field}/quantity", value=count, allowed=allowed)
    upto = _share(line, gone + count)
    amount = upto - _share(line, gone)
    told = {"of_line": asked.line, "of_quantity": count, "amount": amount}
    typed = {name: line[name] for name in ("typed_amount", "gross") if name in line}
    told |= {name: _share(line, gone + count, name) - _share(line, gone, name) for name in typed}
    if line_net(quantity=count, unit_price=line["unit_price"]) == amount:
        return {**line, **told, "quantity": count}
    words = f"{line['description']}\n{count.normalize():f} of {line['quantity'].normalize():f}"
    each = {"unit_price": amount, "typed_price": told.get("typed_amount", amount)}
    return {**line, **told, **each, "description": words, "quantity": Decimal(1)}


def _share(line: Frozen, quantity: Decimal, name: str = "amount") -> Decimal:
    """Return what so many of a line come to; all of them come to its amount."""
    return places(Fraction(line[name]) * Fraction(quantity) / Fraction(line["quantity"]), 2)


def _parts_of_lines(left: Parts, shown: Sequence[Frozen], invoice: Invoice) -> Parts:
    """Return base and tax of credited lines by rate; the last of a rate takes all its tax.

    ``left`` is what is left of the invoice and of the deposits that it takes off: a line was billed by both.
    Tax that is inside the prices is what the typed amounts come to above the base.
    """
    bases: dict[Rate, Decimal] = defaultdict(Decimal)
    inside: dict[Rate, Decimal] = defaultdict(Decimal)
    for line in shown:
        rate = line["tax_category"], line["tax_pct"]
        bases[rate] += line["amount"]
        inside[rate] += line["typed_amount"] - line["amount"] if line.get("with_tax") else ZERO
    parts = {}
    for rate, base in bases.items():
        rest = left.get(rate, NOTHING)
        at_most(base, rest.base, f"more than is left of {invoice.paper.number} before tax", field="lines")
        figured = inside[rate] or places(Fraction(base) * Fraction(rate[1]) / 100, 2)
        tax = rest.tax if base == rest.base else figured
        parts[rate] = Part(base=base, tax=min(tax, rest.tax))
    return parts


def _share_of(left: Parts, amount: Decimal, currency: str) -> Parts:
    """Return a sum with tax as base and tax by rate, in proportion to what is left at each rate."""
    whole = gross_of(left)
    if not (amount.is_finite() and 0 < amount <= whole and amount == round(amount, 2)):
        allowed = f"0.01 to {whole} {currency}, what is left of it; two decimals"
        raise Invalid("not a part of the invoice", field="amount", value=amount, allowed=allowed)
    if amount == whole:
        return left
    above = {rate: part for rate, part in left.items() if part.gross > 0}
    together = gross_of(above)
    parts, before, upto = {}, ZERO, ZERO
    for rate, part in above.items():
        upto += part.gross
        share = places(Fraction(amount) * Fraction(upto) / Fraction(together), 2) - before
        before += share
        base = places(Fraction(share) / (1 + Fraction(rate[1]) / 100), 2)
        base = min(max(base, share - part.tax), part.base)
        parts[rate] = Part(base=base, tax=share - base)
    return parts
