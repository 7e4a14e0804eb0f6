"""Quotes, what is to pay, and papers on a client's page."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.core.errors import NotFound
from jobs.domain import lookups
from jobs.domain.billing.balances import account, summary_of
from jobs.domain.billing.deposits import asked_by, deposit_of, sums_of_lines
from jobs.domain.overviews.papers import paper_states
from jobs.domain.papers.kinds import paper_kinds, paper_title
from jobs.domain.quoting.offer_content import agreed, agreed_lines, offer_content, standing
from jobs.log.private_texts import Texts
from jobs.models import Commission, Offer, Paper

MADE = (
    Commission.Step.ACCEPTED,
    Commission.Step.IN_SHOP,
    Commission.Step.READY,
    Commission.Step.DELIVERED,
    Commission.Step.CLOSED,
)


Picks = Mapping[str, Sequence[int]]
"""By the number of an offer: the positions of the alternatives that are ticked on the page."""


def offers_of(commission: Commission, *, today: date, picks: Picks) -> list[dict[str, Any]]:
    """Return the newest issued version of each quote and change order, newest first.

    An open version has its full content with the totals of what is picked, an accepted one its agreed
    content.
    """
    given = commission.offers.exclude(step=Offer.Step.DRAFT).select_related("commission", "paper")
    newest = {offer.number: offer for offer in given.order_by("version")}
    names, found = Texts([offer.name_ref for offer in newest.values()]), []
    for offer in sorted(newest.values(), key=lambda o: o.id, reverse=True):
        stands = standing(offer, today)
        view = {
            "number": offer.number,
            "paper": offer.paper.number if offer.paper else offer.number,
            "version": offer.version,
            "title": _(offer.get_kind_display()),
            "is_change": offer.kind == Offer.Kind.CHANGE,
            "standing": stands,
            "valid_until": offer.valid_until,
            "decided_on": timezone.localtime(offer.decided_at).date() if offer.decided_at else None,
            "name": names[offer.name_ref],
        }
        is_open, is_agreed = stands == Offer.Step.ISSUED, stands == Offer.Step.ACCEPTED
        content = _open(offer, picks.get(offer.number, ())) if is_open else agreed(offer) if is_agreed else {}
        found.append({**view, **content, "is_open": is_open, "is_agreed": is_agreed})
    return found


def _open(offer: Offer, picked: Sequence[int]) -> dict[str, Any]:
    """Return the content of an open version: its choices, and the totals with what is picked."""
    content = offer_content(offer)
    known = [one for one in content["alternatives"] if one["position"] in picked]
    chosen = {_group(one): one["position"] for one in known}
    groups = defaultdict(list)
    for one in content["alternatives"]:
        groups[_group(one)].append(one)
    choices = [
        {"key": f"{key[0]}-{key[1]}", "piece": key[0], "what": key[1], "of": of, "chosen": chosen.get(key, 0)}
        for key, of in groups.items()
    ]
    return {**content, "choices": choices, "sum": _sum(offer, content, list(chosen.values()))}


def _group(one: dict[str, Any]) -> tuple[str, str]:
    """Return what a choice excludes others by: piece and kind; an option in words excludes none."""
    return (one["piece"] or str(one["position"]), one["what"])


def _sum(offer: Offer, content: dict[str, Any], picked: list[int]) -> dict[str, Any]:
    """Return tax, total and deposit of an open version with these alternatives: what a yes agrees to."""
    if not picked or offer.kind == Offer.Kind.CHANGE:
        return {name: content[name] for name in ("tax", "total", "deposit")}
    alternatives = [one for one in lookups.offer_alternatives(offer) if one.position in picked]
    sums = sums_of_lines(agreed_lines(offer, alternatives))
    return {"tax": sums.tax, "total": sums.gross, "deposit": deposit_of(sums, asked_by(offer))}


def to_pay(commission: Commission, *, today: date) -> dict[str, Any] | None:
    """Return the invoices that are not paid, and what is to come after them, or that all of it is paid.

    None where nothing was asked and nothing was paid.
    """
    held = account(commission)
    if not held.documents and not held.payments:
        return None
    sums = summary_of(commission, today=today, held=held)
    bills = [
        {
            "number": invoice.paper.number,
            "amount": held.open(invoice),
            "currency": invoice.currency,
            "due_on": invoice.due_on,
            "late": invoice.due_on < today,
            "is_deposit": invoice.paper.what == Paper.DEPOSIT,
            "has_file": bool(invoice.paper.file_sha256),
        }
        for invoice in held.open_invoices
    ]
    if not bills and sums.state != "paid" and not sums.in_favor:
        return None
    return {
        "bills": bills, "to_come": sums.to_come, "currency": held.currency, "in_favor": sums.in_favor,
        "is_paid": sums.state == "paid",
    }  # fmt: skip


def _shown_kinds() -> list[str]:
    """Return the kinds of paper for the client; the shop keeps all others to itself."""
    return [kind.key for kind in paper_kinds() if kind.is_for_client]


def papers_of(commission: Commission, *, today: date) -> list[dict[str, Any]]:
    """Return the commission's papers for the client whose file is ready."""
    kept = commission.papers.filter(kind__in=_shown_kinds()).exclude(file_sha256="")
    found = kept.exclude(offers__step=Offer.Step.SUPERSEDED).prefetch_related("offers")
    found = found.select_related("commission", "invoice").order_by("issued_at", "id")
    shown = [paper for paper in found if paper.withdrawn_at is None or paper.is_money]
    states = paper_states(shown, today=today, held={commission.id: account(commission)})
    return [
        {
            "number": p.number,
            "title": _(paper_title(p.kind)),
            "issued_on": timezone.localtime(p.issued_at).date(),
            "state": states[p.id],
            "lapsed_after": _lapsed_after(p, today),
        }
        for p in shown
    ]


def _lapsed_after(paper: Paper, today: date) -> date | None:
    """Return the last day of a quote or change order that nobody answered; None while it holds."""
    over = (one for one in paper.offers.all() if standing(one, today) == Offer.Step.EXPIRED)
    return next((one.valid_until for one in over), None)


def the_shown_paper(commission: str, number: str) -> Paper:
    """Return a paper of this commission that is for the client; refuse any other."""
    shown = Paper.objects.filter(commission__number=commission, kind__in=_shown_kinds())
    paper = shown.filter(number=number).exclude(file_sha256="").first()
    if paper is None or (paper.withdrawn_at and not paper.is_money):
        raise NotFound(_("there is no such paper"), field="paper", value=number[:40])
    return paper
