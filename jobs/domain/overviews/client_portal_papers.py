"""Quotes and papers on a client's page."""

from datetime import date
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.core.errors import NotFound
from jobs.domain.papers.kinds import paper_kinds, paper_title
from jobs.domain.quoting.offer_content import agreed, offer_content, standing
from jobs.models import Commission, Offer, Paper

MADE = (
    Commission.Step.ACCEPTED,
    Commission.Step.IN_SHOP,
    Commission.Step.READY,
    Commission.Step.DELIVERED,
    Commission.Step.CLOSED,
)


def offers_of(commission: Commission, *, today: date) -> list[dict[str, Any]]:
    """Return the newest issued version of each quote and change order, newest first.

    An open version has its full content, an accepted one its agreed content.
    """
    given = commission.offers.exclude(step=Offer.Step.DRAFT).select_related("commission", "paper")
    newest = {offer.number: offer for offer in given.order_by("version")}
    found = []
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
        }
        is_open, is_agreed = stands == Offer.Step.ISSUED, stands == Offer.Step.ACCEPTED
        content = offer_content(offer) if is_open else agreed(offer) if is_agreed else {}
        found.append({**view, **content, "is_open": is_open, "is_agreed": is_agreed})
    return found


def _shown_kinds() -> list[str]:
    """Return the kinds of paper for the client; the shop keeps all others to itself."""
    return [kind.key for kind in paper_kinds() if kind.is_for_client]


def papers_of(commission: Commission) -> list[dict[str, Any]]:
    """Return the commission's papers for the client whose file is ready."""
    kept = commission.papers.filter(kind__in=_shown_kinds()).exclude(file_sha256="")
    found = kept.exclude(offers__step=Offer.Step.SUPERSEDED).order_by("issued_at", "id")
    return [
        {
            "number": p.number,
            "title": _(paper_title(p.kind)),
            "issued_on": timezone.localtime(p.issued_at).date(),
            "credited": p.withdrawn_at is not None and p.kind != Paper.RECEIPT,
            "void": p.withdrawn_at is not None and p.kind == Paper.RECEIPT,
        }
        for p in found
        if p.withdrawn_at is None or p.is_money
    ]


def the_shown_paper(commission: str, number: str) -> Paper:
    """Return a paper of this commission that is for the client; refuse any other."""
    shown = Paper.objects.filter(commission__number=commission, kind__in=_shown_kinds())
    paper = shown.filter(number=number).exclude(file_sha256="").first()
    if paper is None or (paper.withdrawn_at and not paper.is_money):
        raise NotFound(_("there is no such paper"), field="paper", value=number[:40])
    return paper
