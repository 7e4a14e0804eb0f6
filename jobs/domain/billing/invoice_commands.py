"""Commands on invoices: issue one for the whole price, or for a deposit."""

from datetime import date
from decimal import Decimal
from typing import Any

from calcs.money.invoice import Sums
from jobs.core.errors import Invalid
from jobs.domain.billing.deposits import Ask, usual_ask
from jobs.domain.billing.invoice_data import gaps
from jobs.domain.billing.invoices import deposit_content, figures_of, invoice_content, price_sums, usual_due
from jobs.domain.billing.prices import check_taxes
from jobs.domain.billing.sending import on_its_way
from jobs.domain.checks import not_before
from jobs.domain.papers.issuing import issue_paper, open_to
from jobs.domain.papers.letterhead import heading
from jobs.domain.waits.closing import close_if_settled
from jobs.log.commands import CommandTransaction, command
from jobs.models import Commission, Paper


@command
def issue_invoice(
    tx: CommandTransaction,
    *,
    commission: str,
    due_on: date | None = None,
    supplied_on: date | None = None,
    send: str = "",
    to: str = "",
) -> None:
    """Issue the invoice of the agreed price, less the deposits and what was received so far.

    ``supplied_on`` is the day of delivery, where it is not the one on record.
    ``send`` mails it to the client, or records that it was handed over. Nothing left to pay closes a
    delivered order.
    """
    tx.require_owner("an invoice")
    found = open_to(tx, commission, Paper.INVOICE)
    if supplied_on is not None and supplied_on > tx.call.day:
        allowed = f"a day up to {tx.call.day}; leave it empty before the delivery"
        raise Invalid("supplied after it is issued", field="supplied_on", value=supplied_on, allowed=allowed)
    content = invoice_content(found, due_on=_due(tx, due_on), today=tx.call.day, supplied_on=supplied_on)
    number = issue_summed(tx, found, Paper.INVOICE, content)
    if send:
        on_its_way(tx, number, how=send, to=to)
    close_if_settled(tx, found)


@command
def issue_deposit(
    tx: CommandTransaction,
    *,
    commission: str,
    pct: Decimal | None = None,
    amount: Decimal | None = None,
    due_on: date | None = None,
    send: str = "",
    to: str = "",
) -> None:
    """Issue an invoice for a part of the agreed price, before the invoice of the whole.

    ``pct`` is a share of the price [%], ``amount`` a sum with tax; without both it asks what was quoted.

    ``send`` mails it to the client, or records that it was handed over.
    """
    tx.require_owner("an invoice")
    found = open_to(tx, commission, Paper.INVOICE)
    ask, whole = _ask(found, pct, amount), price_sums(found)
    if ask.amount is not None:
        refuse_sum(ask.amount, whole, field="amount")
    number = ask_deposit(tx, found, ask=ask, whole=whole, due_on=due_on)
    if not number:
        raise Invalid(
            "that leaves nothing to pay", field="pct", value=ask.pct, allowed="a deposit of 0.01 or more"
        )
    if send:
        on_its_way(tx, number, how=send, to=to)


def _ask(commission: Commission, pct: Decimal | None, amount: Decimal | None) -> Ask:
    if pct is not None and amount is not None:
        says, allowed = "a sum or a share of the price, not both", "one of them"
        raise Invalid(says, field="amount", value=amount, allowed=allowed)
    if amount is not None:
        return Ask(amount=amount)
    if pct is None:
        return usual_ask(commission)
    if not (pct.is_finite() and 0 < pct <= 100):
        raise Invalid("not a share of the price", field="pct", value=pct, allowed="above 0, up to 100")
    return Ask(pct=pct)


def refuse_sum(amount: Decimal, whole: Sums, *, field: str) -> None:
    """Refuse a sum that is no part of a price. Called by other commands."""
    if not (amount.is_finite() and 0 < amount <= whole.gross and amount == round(amount, 2)):
        allowed = f"0.01 to {whole.gross}, the price with tax; two decimals"
        raise Invalid("not a part of the price", field=field, value=amount, allowed=allowed)


def ask_deposit(
    tx: CommandTransaction,
    commission: Commission,
    *,
    ask: Ask,
    whole: Sums,
    due_on: date | None = None,
) -> str:
    """Issue the deposit invoice; return its number, empty where nothing is to be paid. Called by commands."""
    content = deposit_content(commission, ask=ask, whole=whole, due_on=_due(tx, due_on), today=tx.call.day)
    if content is None:
        return ""
    return issue_summed(tx, commission, Paper.INVOICE, content, what=Paper.DEPOSIT)


def _due(tx: CommandTransaction, due_on: date | None) -> date:
    today = tx.call.day
    due = due_on or usual_due(today)
    not_before(due, today, "due before it is issued", field="due_on")
    return due


def issue_summed(
    tx: CommandTransaction,
    commission: Commission,
    kind: str,
    content: dict[str, Any],
    *,
    credits: str = "",
    what: str = "",
) -> str:
    """Issue an invoice or a credit note with its sums; return its number. Called by commands."""
    content = {**heading(commission), **content}
    if kind == Paper.INVOICE:
        check_taxes(tx, content, content["lines"])
    stream = f"commission:{commission.number}"
    number = issue_paper(
        tx, kind, content, stream=stream, commission=commission.number,
        invoice=figures_of(content), credits=credits, what=what,
    )  # fmt: skip
    if lacking := gaps(content):
        missing = "; ".join(f"{gap}, {gap.where}" for gap in lacking)
        tx.notices.append(f"the PDF carries no data for the client's bookkeeping; missing: {missing}")
    return number
