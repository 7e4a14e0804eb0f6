"""Content of an offer, its standing on a day, and the difference between two versions."""

import json
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from calcs.money.invoice import Sums
from jobs.domain import lookups
from jobs.domain.billing.deposits import asked_by, deposit_of, sums_of_lines
from jobs.domain.billing.prices import Line, line_of, line_views, price_of, views_of
from jobs.domain.billing.taxes import ZERO, totals_of
from jobs.domain.quoting.alternatives import Chosen, difference_line, with_chosen
from jobs.log.private_texts import FORGOTTEN, Texts, refs_of
from jobs.models import Commission, Offer, OfferAlternative, OfferLine, PriceLine

AGREED = ("currency", "lines", "net", "tax", "total", "totals", "promise_on")
FIGURES = ("net", "tax", "total", "deposit", "total_before", "total_after")
"""Amounts that an issued version takes from its paper."""


def offer_content(offer: Offer) -> dict[str, Any]:
    """Return the content of a version in words and figures: lines, alternatives with tax, sums, dates."""
    lines, alternatives = lookups.offer_lines(offer), lookups.offer_alternatives(offer)
    paper = offer.paper
    texts = Texts(refs_of([offer, *lines, *alternatives, *([paper] if paper else [])]))
    after = lookups.price_lines(offer.commission) if offer.kind == Offer.Kind.CHANGE else []
    price = price_of(lines, after=after) if lines else None
    sums = price.sums if price else None
    content = {
        "offer": offer.number,
        "version": offer.version,
        "currency": offer.currency,
        "lines": line_views(lines, price, texts) if price else [],
        "with_tax": any(line.with_tax for line in lines),
        "alternatives": [_alternative(a, lines, sums, texts) for a in alternatives],
        **_sums(sums),
        "words": texts[offer.words_ref],
        "terms": texts[offer.terms_ref],
        "included": texts[offer.included_ref],
        "excluded": texts[offer.excluded_ref],
        "promise_on": offer.promise_on,
        "deposit_pct": offer.deposit_pct,
        "deposit_sum": offer.deposit_sum,
        "deposit": deposit_of(sums, asked_by(offer)) if sums else ZERO,
    }
    if paper is not None:
        return _as_issued(content, texts[paper.frozen_ref], offer.kind)
    return {**content, **(_change(offer.commission, lines) if offer.kind == Offer.Kind.CHANGE else {})}


def _as_issued(content: dict[str, Any], frozen: str, kind: str) -> dict[str, Any]:
    """Return the content with the figures of its paper; later prices and rules do not change them."""
    change = {"total_before": None, "total_after": None, "promised_before": None}
    if frozen == FORGOTTEN:
        return {**content, **(change if kind == Offer.Kind.CHANGE else {})}
    paper = json.loads(frozen)
    with_tax = {one["position"]: Decimal(one["with_tax"]) for one in paper["alternatives"]}
    told: dict[str, Any] = {name: Decimal(paper[name]) for name in FIGURES if name in paper}
    told["totals"] = [
        {"category": tax["category"], **{name: Decimal(tax[name]) for name in ("rate_pct", "taxable", "tax")}}
        for tax in paper["totals"]
    ]
    if kind == Offer.Kind.CHANGE:
        promised = paper["promised_before"]
        told["promised_before"] = date.fromisoformat(promised) if promised else None
    return {
        **content,
        **told,
        "alternatives": [{**one, "with_tax": with_tax[one["position"]]} for one in content["alternatives"]],
    }


def _sums(sums: Sums | None) -> dict[str, Any]:
    return {
        "net": sums.net if sums else ZERO,
        "tax": sums.tax if sums else ZERO,
        "total": sums.gross if sums else ZERO,
        "totals": totals_of(sums),
    }


def _alternative(
    one: OfferAlternative, lines: Sequence[OfferLine], sums: Sums | None, texts: Texts
) -> dict[str, Any]:
    """Return an alternative with its difference before tax, and with tax in the total."""
    total = sums_of_lines([*lines, difference_line(one, "")]).gross - (sums.gross if sums else Decimal(0))
    return {
        "position": one.position,
        "piece": one.piece,
        "what": one.what,
        "to": one.to,
        "description": texts[one.description_ref],
        "difference": one.difference,
        "with_tax": total,
    }


def _change(commission: Commission, lines: Sequence[OfferLine]) -> dict[str, Any]:
    """Return the total before and after a change order, and the day promised before."""
    before: list[PriceLine] = lookups.price_lines(commission)
    told = sums_of_lines(before).gross if before else ZERO
    both: list[Any] = [*before, *lines]
    return {
        "total_before": told,
        "total_after": sums_of_lines(both).gross if both else ZERO,
        "promised_before": commission.promise_on,
    }


def standing(offer: Offer, today: date) -> str:
    """Return the standing of a version on a day: expired once its last day has passed undecided."""
    return str(Offer.Step.EXPIRED if offer.is_over(today) else offer.step)


def difference(shown: Offer, newest: Offer) -> dict[str, Any]:
    """Return how the newest version differs from the one that was shown."""
    before, after = offer_content(shown), offer_content(newest)
    return {
        "version": newest.version,
        "currency": newest.currency,
        **_lines_otherwise(_told(before["lines"]), _told(after["lines"])),
        "alternatives": [
            {"description": a["description"], "difference": str(a["difference"])}
            for a in after["alternatives"]
        ]
        if _others(before) != _others(after)
        else [],
        "total_before": str(before["total"]),
        "total_after": str(after["total"]),
        "promise_before": str(before["promise_on"] or ""),
        "promise_after": str(after["promise_on"] or ""),
        "valid_until": str(newest.valid_until or ""),
    }


def _lines_otherwise(was: Sequence[dict[str, str]], now: Sequence[dict[str, str]]) -> dict[str, Any]:
    """Return the lines that changed under the same description, those removed and those added."""
    gone = [line for line in was if line not in now]
    new, changed = [], []
    for line in (line for line in now if line not in was):
        same = next((one for one in gone if one["description"] == line["description"]), None)
        if same is None:
            new.append(line)
        else:
            gone.remove(same)
            changed.append(
                {**line, "quantity_before": same["quantity"], "amount_before": same["amount"]}
            )  # fmt: skip
    return {"lines_changed": changed, "lines_gone": gone, "lines_new": new}


def agreed(offer: Offer) -> dict[str, Any]:
    """Return the agreed content of an accepted version: lines with chosen alternatives, sums, day."""
    if offer.kind == Offer.Kind.CHANGE:
        content = offer_content(offer)
        return {name: content[name] for name in AGREED}
    lines = agreed_lines(offer, [a for a in lookups.offer_alternatives(offer) if a.position in offer.chosen])
    price = price_of(lines) if lines else None
    return {
        "currency": offer.currency,
        "lines": views_of(lines, price) if price else [],
        **_sums(price.sums if price else None),
        "promise_on": offer.promise_on,
    }


def agreed_lines(offer: Offer, chosen: Sequence[OfferAlternative]) -> list[Line]:
    """Return the lines of a version with these of its alternatives."""
    lines, pieces = lookups.offer_lines(offer), lookups.pieces(offer.commission)
    texts = Texts(refs_of([*lines, *chosen, *pieces]))
    picked = [
        Chosen(
            piece=one.piece,
            description=texts[one.description_ref],
            difference=one.difference,
            tax_category=one.tax_category,
            tax_pct=one.tax_pct,
            with_tax=one.with_tax,
        )
        for one in sorted(chosen, key=lambda one: one.position)
    ]
    labels = {piece.number: texts[piece.label_ref] for piece in pieces}
    return with_chosen([line_of(line, texts) for line in lines], picked, labels)


def _told(lines: list[dict[str, Any]]) -> list[dict[str, str]]:
    return [
        {
            "description": line["description"],
            "quantity": f"{line['quantity'].normalize():f}",
            "amount": str(line["typed_amount"]),
        }
        for line in lines
    ]


def _others(content: dict[str, Any]) -> list[Any]:
    return [(a["description"], a["difference"]) for a in content["alternatives"]]
