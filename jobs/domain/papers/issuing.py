"""Papers: issue a delivery checklist or an invoice, withdraw one; and the file the worker rendered."""

import json
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone

from jobs.core.canonical_json import dumps
from jobs.core.errors import AlreadyDone, Invalid, NotYet, RestsOnPaper, WrongState
from jobs.domain import lookups
from jobs.domain.billing.deposits import usual_pct
from jobs.domain.billing.invoice_data import gaps
from jobs.domain.billing.invoices import (
    SUMS,
    checklist_content,
    deposit_content,
    heading,
    invoice_content,
    usual_due,
)
from jobs.domain.settings import settings
from jobs.log.commands import Writing, command
from jobs.log.private_texts import keep, read
from jobs.models import Commission, Paper

RENDER = "render paper"
"""The effect that makes the worker render an issued paper."""
PREFIX = {
    Paper.Kind.CHECKLIST: "D",
    Paper.Kind.INVOICE: "I",
    Paper.Kind.CREDIT: "C",
    Paper.Kind.RECEIPT: "R",
    Paper.Kind.STATEMENT: "S",
    Paper.Kind.QUOTE: "Q",
    Paper.Kind.CHANGE: "X",
    Paper.Kind.JOB_SHEET: "J",
    Paper.Kind.CARE_SHEET: "K",
}
HELD = (Paper.Kind.INVOICE, Paper.Kind.CREDIT, Paper.Kind.RECEIPT)
"""Papers whose words are kept whatever happens."""
Step = Commission.Step
STEPS: dict[str, tuple[Step, ...]] = {
    Paper.Kind.CHECKLIST: (Step.IN_SHOP, Step.READY),
    Paper.Kind.INVOICE: (Step.ACCEPTED, Step.IN_SHOP, Step.READY, Step.DELIVERED, Step.CLOSED),
    Paper.Kind.JOB_SHEET: (Step.ACCEPTED, Step.IN_SHOP, Step.READY),
    Paper.Kind.CARE_SHEET: (Step.IN_SHOP, Step.READY, Step.DELIVERED, Step.CLOSED),
}
"""Where a commission has to stand for each paper."""
AGAIN = {
    Paper.Kind.CHECKLIST: "withdraw it first",
    Paper.Kind.JOB_SHEET: "withdraw it first",
    Paper.Kind.CARE_SHEET: "withdraw it first",
    Paper.Kind.INVOICE: "one invoice for the agreed price; credit that one first",
}


@command
def issue_checklist(log: Writing, *, commission: str) -> None:
    """Issue the delivery checklist of a commission that is ready or about to be."""
    found = open_to(log, commission, Paper.Kind.CHECKLIST)
    if not found.pieces.exists():
        raise NotYet(
            "there is nothing to deliver", field="commission", value=commission, allowed="at least one piece"
        )
    _issue(log, found, Paper.Kind.CHECKLIST, checklist_content(found), invoice=None)


@command
def issue_invoice(log: Writing, *, commission: str, due_on: date | None = None) -> None:
    """Issue the invoice of the agreed price, with what was received so far taken off."""
    log.by_owner("an invoice")
    found = open_to(log, commission, Paper.Kind.INVOICE)
    content = invoice_content(found, due_on=_due(log, due_on))
    _issue(log, found, Paper.Kind.INVOICE, content, invoice={name: content[name] for name in SUMS})


@command
def issue_deposit(
    log: Writing, *, commission: str, pct: Decimal | None = None, due_on: date | None = None
) -> None:
    """Issue an invoice over a part of the agreed price [%], before the one over the whole."""
    log.by_owner("an invoice")
    found = open_to(log, commission, Paper.Kind.INVOICE)
    share = usual_pct(found) if pct is None else pct
    if not (share.is_finite() and 0 < share <= 100):
        raise Invalid("no share of the price", field="pct", value=share, allowed="above 0, up to 100")
    if not ask_deposit(log, found, pct=share, due_on=due_on):
        raise Invalid("that is nothing to pay", field="pct", value=share, allowed="a deposit of 0.01 or more")


def ask_deposit(log: Writing, commission: Commission, *, pct: Decimal, due_on: date | None = None) -> bool:
    """Issue the deposit invoice, where there is something to ask. For other commands."""
    content = deposit_content(commission, pct=pct, due_on=_due(log, due_on))
    if content is None:
        return False
    sums = {name: content[name] for name in SUMS}
    _issue(log, commission, Paper.Kind.INVOICE, content, invoice=sums, what=Paper.DEPOSIT)
    return True


def _due(log: Writing, due_on: date | None) -> date:
    today = timezone.localtime(log.call.at).date()
    due = due_on or usual_due(today)
    if due < today:
        raise Invalid("due before it is issued", field="due_on", value=due, allowed=f"{today} or later")
    return due


def open_to(log: Writing, commission: str, kind: Paper.Kind) -> Commission:
    """The commission as the caller saw it, where it may have this paper and has none that holds."""
    found = lookups.commission(commission)
    log.seen(found.version, what=f"commission {found.number}")
    if found.step not in STEPS[kind]:
        raise WrongState(
            f"commission {commission} is {found.step}",
            field="commission",
            value=commission,
            allowed=f"commissions that are {', '.join(STEPS[kind])}",
        )
    earlier = found.papers.filter(kind=kind, what="", withdrawn_at=None).first()
    if earlier is not None:
        raise AlreadyDone(
            f"{kind.label.lower()} {earlier.number} is issued",
            field="commission",
            value=commission,
            allowed=AGAIN[kind],
            extra={"papers": [earlier.number]},
        )
    return found


@command
def withdraw_paper(log: Writing, *, paper: str, reason: str) -> None:
    """Withdraw a checklist, job sheet or care sheet; number and file stay. An invoice is credited instead."""
    found = lookups.paper(paper)
    log.seen(found.version, what=found.stream.replace(":", " "))
    if found.is_money:
        raise WrongState(
            f"{found.get_kind_display().lower()} {paper} cannot be withdrawn; an invoice is credited",
            field="paper",
            value=paper,
            allowed="delivery checklists, job sheets, care sheets",
        )
    if found.withdrawn_at:
        raise AlreadyDone(f"{paper} is withdrawn", field="paper", value=paper, allowed="a paper that holds")
    if not reason.strip():
        raise Invalid("withdrawing needs a reason", field="reason", value=reason, allowed="a sentence why")
    log.append(
        "paper_withdrawn",
        found.stream,
        {
            "paper": paper,
            "reason": keep(reason, field="reason"),
        },
    )


@command
def credit_invoice(log: Writing, *, paper: str, reason: str) -> None:
    """Take an invoice back in full by a credit note of its own number; a new invoice may follow.

    What was received stays on the commission and counts on the next invoice.
    """
    log.by_owner("a credit note")
    found = lookups.paper(paper)
    log.seen(found.version, what=found.stream.replace(":", " "))
    if found.kind != Paper.Kind.INVOICE or found.commission is None:
        raise WrongState(f"{paper} is no invoice", field="paper", value=paper, allowed="invoices")
    if found.withdrawn_at:
        note = Paper.objects.get(credits=paper).number
        raise AlreadyDone(
            f"{paper} is credited by {note}", field="paper", value=paper, allowed="an open invoice"
        )
    if found.is_forgotten:
        raise WrongState(
            f"what {paper} says is forgotten, so no credit note can repeat it",
            field="paper", value=paper, allowed="an invoice whose words are kept",
        )  # fmt: skip
    if found.what == Paper.DEPOSIT:
        _refuse_if_taken_off(found)
    if not reason.strip():
        raise Invalid("a credit note needs a reason", field="reason", value=reason, allowed="a sentence why")
    content = {**json.loads(read(found.frozen_ref)), "credits": paper, "reason": reason.strip()}
    sums = {name: content[name] for name in SUMS}
    _issue(log, found.commission, Paper.Kind.CREDIT, content, invoice=sums, credits=paper)


def _refuse_if_taken_off(deposit: Paper) -> None:
    assert deposit.commission is not None
    whole = deposit.commission.papers.filter(kind=Paper.Kind.INVOICE, what="", withdrawn_at=None).first()
    if whole is not None:
        raise RestsOnPaper(
            f"invoice {whole.number} takes {deposit.number} off; that one has to be credited first",
            field="paper",
            value=deposit.number,
            extra={"papers": [whole.number]},
        )


@command
def record_rendering(log: Writing, *, paper: str, sha256: str, size_bytes: int) -> None:
    """Record the file of an issued paper, once and for ever."""
    found = lookups.paper(paper)
    if found.file_sha256:
        raise AlreadyDone(
            f"{paper} has its file", field="paper", value=paper, allowed="a paper being prepared"
        )
    log.append(
        "paper_rendered",
        found.stream,
        {
            "paper": paper,
            "sha256": sha256,
            "bytes": size_bytes,
        },
    )


def _issue(
    log: Writing,
    commission: Commission,
    kind: Paper.Kind,
    content: dict[str, Any],
    *,
    invoice: dict[str, Any] | None,
    credits: str = "",
    what: str = "",
) -> None:
    content = {**heading(commission), **content}
    stream = f"commission:{commission.number}"
    issue_paper(
        log, kind, content, stream=stream, commission=commission.number, invoice=invoice, credits=credits,
        what=what,
    )  # fmt: skip
    if invoice and (lacking := gaps(content)):
        missing = ", ".join(lacking)
        log.notices.append(f"the PDF carries no data for the client's bookkeeping; missing: {missing}")


def issue_paper(
    log: Writing,
    kind: Paper.Kind,
    content: dict[str, Any],
    *,
    stream: str,
    commission: str = "",
    invoice: dict[str, Any] | None = None,
    credits: str = "",
    what: str = "",
    client: int | None = None,
    payment: int | None = None,
) -> None:
    """Number a paper, freeze what it says and hand it to the worker. For other commands."""
    number, issued_on = _next_number(log, kind), timezone.localtime(log.call.at).date()
    frozen = dumps({**content, "number": number, "kind": kind, "issued_on": issued_on})
    log.append(
        "paper_issued",
        stream,
        {
            "paper": number,
            "kind": kind,
            "commission": commission,
            "client": client,
            "payment": payment,
            "size": settings()["paper_size"],
            "frozen": keep(frozen, field="frozen", longest=1_000_000, hold_until=_hold(kind, issued_on)),
            "invoice": invoice,
            "credits": credits,
            "what": what,
        },
    )
    log.effect(RENDER, number)


def _next_number(log: Writing, kind: Paper.Kind) -> str:
    """The next number of this kind in this year: counted under the head lock, so without gaps."""
    year = timezone.localtime(log.call.now).year
    prefix = f"{PREFIX[kind]}{year}-"
    return f"{prefix}{Paper.objects.filter(number__startswith=prefix).count() + 1:04d}"


def _hold(kind: Paper.Kind, issued_on: date) -> date | None:
    """To the end of which year the law wants it kept; the shop says how many years that is."""
    years = settings()["keep_papers_years"]
    return date(issued_on.year + years, 12, 31) if kind in HELD and years else None
