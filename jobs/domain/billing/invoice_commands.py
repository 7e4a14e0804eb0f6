"""Commands on invoices: issue one for the whole price or for a deposit, and credit one."""

import json
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone

from calcs.money.invoice import Sums
from jobs.core.errors import AlreadyDone, Invalid, RestsOnPaper, WrongState
from jobs.domain import lookups
from jobs.domain.billing.deposits import usual_pct
from jobs.domain.billing.invoice_data import gaps
from jobs.domain.billing.invoices import deposit_content, figures_of, invoice_content, price_sums, usual_due
from jobs.domain.billing.sending import on_its_way
from jobs.domain.billing.taxes import refuse_lacking
from jobs.domain.checks import about, has_reason, not_before
from jobs.domain.papers.issuing import issue_paper, open_to
from jobs.domain.papers.letterhead import heading
from jobs.domain.waits.closing import close_if_settled
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import read
from jobs.models import Commission, Paper


@command
def issue_invoice(
    tx: CommandTransaction, *, commission: str, due_on: date | None = None, send: str = "", to: str = ""
) -> None:
    """Issue the invoice of the agreed price, less the deposits and what was received so far.

    ``send`` mails it to the client, or records that it was handed over. Nothing left to pay closes a
    delivered order.
    """
    tx.require_owner("an invoice")
    found = open_to(tx, commission, Paper.INVOICE)
    content = invoice_content(found, due_on=_due(tx, due_on))
    number = _issue(tx, found, Paper.INVOICE, content)
    if send:
        on_its_way(tx, number, how=send, to=to)
    close_if_settled(tx, found)


@command
def issue_deposit(
    tx: CommandTransaction,
    *,
    commission: str,
    pct: Decimal | None = None,
    due_on: date | None = None,
    send: str = "",
    to: str = "",
) -> None:
    """Issue an invoice for a share of the agreed price [%], before the invoice of the whole.

    ``send`` mails it to the client, or records that it was handed over.
    """
    tx.require_owner("an invoice")
    found = open_to(tx, commission, Paper.INVOICE)
    share = usual_pct(found) if pct is None else pct
    if not (share.is_finite() and 0 < share <= 100):
        raise Invalid("not a share of the price", field="pct", value=share, allowed="above 0, up to 100")
    number = ask_deposit(tx, found, pct=share, whole=price_sums(found), due_on=due_on)
    if not number:
        raise Invalid(
            "that leaves nothing to pay", field="pct", value=share, allowed="a deposit of 0.01 or more"
        )
    if send:
        on_its_way(tx, number, how=send, to=to)


def ask_deposit(
    tx: CommandTransaction,
    commission: Commission,
    *,
    pct: Decimal,
    whole: Sums,
    due_on: date | None = None,
) -> str:
    """Issue the deposit invoice; return its number, empty where nothing is to be paid. Called by commands."""
    content = deposit_content(commission, pct=pct, whole=whole, due_on=_due(tx, due_on))
    if content is None:
        return ""
    return _issue(tx, commission, Paper.INVOICE, content, what=Paper.DEPOSIT)


def _due(tx: CommandTransaction, due_on: date | None) -> date:
    today = timezone.localtime(tx.call.at).date()
    due = due_on or usual_due(today)
    not_before(due, today, "due before it is issued", field="due_on")
    return due


@command
def credit_invoice(tx: CommandTransaction, *, paper: str, reason: str) -> None:
    """Credit an invoice in full by a credit note with its own number; a new invoice may follow.

    Payments stay on the commission and count on the next invoice.
    """
    tx.require_owner("a credit note")
    found = lookups.paper(paper)
    tx.check_version(found.version, what=found.stream.replace(":", " "))
    if found.kind != Paper.INVOICE or found.commission is None:
        raise about(found, "is no invoice", allowed="invoices")
    if found.withdrawn_at:
        note = Paper.objects.get(credits=paper).number
        raise about(found, f"is credited by {note}", allowed="an open invoice", error=AlreadyDone)
    if found.is_forgotten:
        raise WrongState(
            f"what {paper} says is forgotten, so no credit note can repeat it",
            field="paper", value=paper, allowed="an invoice whose words are kept",
        )  # fmt: skip
    if found.what == Paper.DEPOSIT:
        _refuse_if_taken_off(found)
    has_reason(reason, what="a credit note")
    content = {**json.loads(read(found.frozen_ref)), "credits": paper, "reason": reason.strip()}
    _issue(tx, found.commission, Paper.CREDIT, content, credits=paper)


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


def _issue(
    tx: CommandTransaction,
    commission: Commission,
    kind: str,
    content: dict[str, Any],
    *,
    credits: str = "",
    what: str = "",
) -> str:
    content = {**heading(commission), **content}
    if kind == Paper.INVOICE:
        refuse_lacking(content, content["lines"])
    stream = f"commission:{commission.number}"
    number = issue_paper(
        tx, kind, content, stream=stream, commission=commission.number,
        invoice=figures_of(content), credits=credits, what=what,
    )  # fmt: skip
    if lacking := gaps(content):
        missing = ", ".join(lacking)
        tx.notices.append(f"the PDF carries no data for the client's bookkeeping; missing: {missing}")
    return number
