"""Views of quotes and change orders."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from jobs.domain.papers.sending import sending_views
from jobs.domain.quoting.accepted import acceptance_of
from jobs.domain.quoting.offer_content import agreed, offer_content, standing
from jobs.log.private_texts import Texts
from jobs.models import Commission, Offer


def offer_view(offer: Offer, *, today: date) -> dict[str, Any]:
    """Return one version with its content and standing, for readers who see money.

    ``basis`` is for the owner only.
    """
    frozen = offer.paper.frozen_ref if offer.paper else None
    texts = Texts([offer.name_ref, offer.reason_ref, frozen])
    content = {"total_before": None, "total_after": None, "promised_before": None, **offer_content(offer)}
    content["number"] = content.pop("offer")
    return {
        **content,
        "kind": offer.kind,
        "commission": offer.commission.number,
        "commission_version": offer.commission.version,
        "standing": standing(offer, today),
        "valid_days": offer.valid_days,
        "valid_until": offer.valid_until,
        "drafted_at": offer.drafted_at,
        "issued_at": offer.issued_at,
        "decided_at": offer.decided_at,
        "decided_by": offer.decided_by,
        "chosen": offer.chosen,
        "acceptance": acceptance_of(offer, content["alternatives"], texts[frozen]),
        "agreed": agreed(offer) if offer.step == Offer.Step.ACCEPTED else None,
        "name": texts[offer.name_ref],
        "reason": texts[offer.reason_ref],
        "because": offer.because,
        "sendings": sending_views(offer.paper.sendings.all()) if offer.paper else [],
        "paper": offer.paper.number if offer.paper else "",
        "basis": offer.basis,
    }


def offer_rows(commission: Commission, *, today: date) -> list[dict[str, Any]]:
    """Return the newest version of each offer of a commission, quotes first.

    Prefetch the offers with their papers where there may be many.
    """
    return [
        {
            "number": one.number,
            "kind": one.kind,
            "label": one.get_kind_display(),
            "version": one.version,
            "standing": standing(one, today),
            "valid_until": one.valid_until,
            "paper": one.paper.number if one.paper else "",
        }
        for one in newest(commission.offers.all())
    ]


def newest(offers: Iterable[Offer]) -> list[Offer]:
    """Return the newest version of each offer."""
    ordered = sorted(offers, key=lambda one: (one.kind == Offer.Kind.CHANGE, one.id))
    return list({one.number: one for one in ordered}.values())
