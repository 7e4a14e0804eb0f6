"""Views of issued papers."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import prefetch_related_objects

from jobs.domain.billing.balances import Account, account, accounts
from jobs.domain.papers.bank_details import creditor_reference
from jobs.domain.papers.staleness import is_stale
from jobs.domain.quoting.offer_content import standing
from jobs.models import Offer, Paper

OFFERED = (Paper.QUOTE, Paper.CHANGE)


def paper_views(papers: list[Paper], *, with_money: bool, today: date) -> list[dict[str, Any]]:
    """Return papers of many commissions with their open amounts, in a fixed number of queries."""
    prefetch_related_objects(papers, "sendings")
    prefetch_related_objects([paper for paper in papers if paper.kind in OFFERED], "offers")
    if not with_money:
        return [paper_view(paper, with_money=False, today=today) for paper in papers]
    billed = {p.commission.id: p.commission for p in papers if p.kind in Paper.SUMMED and p.commission}
    held = accounts(billed.values())
    return [
        paper_view(p, with_money=True, today=today, held=held.get(p.commission.id) if p.commission else None)
        for p in papers
    ]


def paper_states(
    papers: list[Paper], *, today: date, held: Mapping[int, Account] | None = None
) -> dict[int, str]:
    """Return a word for papers that no longer hold, and for the money of invoices, by key.

    ``held`` are the accounts of their commissions, read before.
    """
    if held is None:
        billed = {p.commission.id: p.commission for p in papers if p.asks_for_money and p.commission}
        held = accounts(billed.values()) if billed else {}
    found = {paper.id: _withdrawn_as(paper) if paper.withdrawn_at else "" for paper in papers}
    for paper in papers:
        of = held.get(paper.commission_id or 0)
        if paper.asks_for_money and of is not None:
            left = of.open(paper.invoice)
            found[paper.id] = _state(paper, left, (today - paper.invoice.due_on).days)
    return found


def paper_view(
    paper: Paper, *, with_money: bool, today: date, held: Account | None = None, offer: Offer | None = None
) -> dict[str, Any]:
    """Return a paper, with the sums of an invoice for readers who see money.

    ``held`` is the account of its commission, ``offer`` the version that it is of, read before.
    """
    view = {
        "number": paper.number,
        "kind": paper.kind,
        "issued_at": paper.issued_at,
        "size": paper.size,
        "commission": paper.commission.number if paper.commission else "",
        "version": paper.version,
        "sha256": paper.file_sha256,
        "credits": paper.credits,
        "what": paper.what,
        "standing": "forgotten"
        if paper.is_forgotten
        else _withdrawn_as(paper)
        if paper.withdrawn_at
        else "issued"
        if paper.file_sha256
        else "being prepared",
        "has_file": bool(paper.file_sha256),
        "stale": is_stale(paper),
        "answer": _answer(paper, offer, today) if with_money else "",
        "sent": _sent(paper),
        "reminded_at": max((one.sent_at for one in paper.sendings.all() if one.is_reminder), default=None),
        "invoice": None,
    }
    if with_money and paper.kind in Paper.SUMMED:
        sums = paper.invoice
        of = held or _account_of(paper)
        left = of.open(sums)
        late = (today - sums.due_on).days if left else 0
        view["invoice"] = {
            "currency": sums.currency,
            "net": sums.net,
            "tax": sums.tax,
            "total": sums.total,
            "paid_before": sums.paid_before,
            "due": sums.due,
            "due_on": sums.due_on,
            "reference": creditor_reference(paper.number),
            "credited": of.credited(sums),
            "open": left,
            "paid_on": of.paid_on(sums) if paper.asks_for_money else None,
            "state": _state(paper, left, late),
            "days_late": max(late, 0),
            "taxes": sums.totals,
        }
    return view


def _answer(paper: Paper, offer: Offer | None, today: date) -> str:
    """Return how the version behind a quote or change order stands; empty for other papers."""
    offers = [offer] if offer else paper.offers.all() if paper.kind in OFFERED else ()
    return next((standing(one, today) for one in offers), "")


def _sent(paper: Paper) -> dict[str, Any] | None:
    """Return how the paper last went to the client, or that its mail did not arrive."""
    tries = [one for one in paper.sendings.all() if not one.is_reminder]
    last = paper.last_sent or (tries[-1] if tries else None)
    if last is None:
        return None
    return {
        "at": last.sent_at, "by_mail": last.by_mail, "opened_at": last.opened_at, "trouble": last.trouble,
    }  # fmt: skip


def _state(paper: Paper, left: Decimal, late: int) -> str:
    """Return the word for the money of an invoice; empty for a credit note."""
    if paper.kind != Paper.INVOICE:
        return ""
    if paper.withdrawn_at:
        return "credited"
    return "paid" if not left else "late" if late > 0 else "open"


def _withdrawn_as(paper: Paper) -> str:
    """Return the word for a paper that is no longer valid."""
    if paper.kind == Paper.RECEIPT:
        return "void"
    return "credited" if paper.is_money else "withdrawn"


def _account_of(paper: Paper) -> Account:
    assert paper.commission is not None, "an invoice is of a commission"
    return account(paper.commission)
