"""What an offer says, how it stands on a day, and how one version differs from another."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from calcs.invoice import Sums, line_net
from jobs.deposits import deposit_of, sums_of_lines
from jobs.models import Commission, Offer, OfferAlternative, OfferLine, PriceLine
from jobs.pricing import line_views, price_of
from jobs.private import Texts, refs_of


def offer_content(offer: Offer) -> dict[str, Any]:
    """What a version says, in words and figures: lines, alternatives with tax, sums, dates."""
    lines = list(offer.lines.order_by("position"))
    alternatives = list(offer.alternatives.order_by("position"))
    texts = Texts(refs_of([offer, *lines, *alternatives]))
    sums = sums_of_lines(lines) if lines else None
    return {
        "offer": offer.number,
        "version": offer.version,
        "currency": offer.currency,
        "lines": line_views(lines, price_of(lines), texts) if lines else [],
        "alternatives": [_alternative(a, lines, sums, texts) for a in alternatives],
        **_sums(sums),
        "words": texts[offer.words_ref],
        "terms": texts[offer.terms_ref],
        "promise_on": offer.promise_on,
        "deposit_pct": offer.deposit_pct,
        "deposit": deposit_of(sums, offer.deposit_pct) if sums else Decimal("0.00"),
        **(_change(offer.commission, lines) if offer.kind == Offer.Kind.CHANGE else {}),
    }


def _sums(sums: Sums | None) -> dict[str, Any]:
    zero = Decimal("0.00")
    return {
        "net": sums.net if sums else zero,
        "tax": sums.tax if sums else zero,
        "total": sums.gross if sums else zero,
        "totals": [
            {"category": t.category, "rate_pct": t.rate_pct, "taxable": t.base, "tax": t.tax}
            for t in (sums.taxes if sums else ())
        ],
    }


def _alternative(
    one: OfferAlternative, lines: Sequence[OfferLine], sums: Sums | None, texts: Texts
) -> dict[str, Any]:
    """An alternative with its difference before tax, and what it changes in the total."""
    total = sums_of_lines([*lines, line_for(one)]).gross - (sums.gross if sums else Decimal(0))
    return {
        "position": one.position,
        "piece": one.piece,
        "what": one.what,
        "to": one.to,
        "description": texts[one.description_ref],
        "difference": one.difference,
        "with_tax": total,
    }


def line_for(one: OfferAlternative) -> OfferLine:
    """The line of the price that a chosen alternative becomes; a saving is counted below nothing."""
    return OfferLine(
        quantity=Decimal(1) if one.difference >= 0 else Decimal(-1),
        unit_code="C62",
        unit_price=abs(one.difference),
        tax_category=one.tax_category,
        tax_pct=one.tax_pct,
        description_ref=one.description_ref,
    )


def _change(commission: Commission, lines: Sequence[OfferLine]) -> dict[str, Any]:
    """The price before and after, where it changes one that was agreed."""
    before: list[PriceLine] = list(commission.price_lines.order_by("position"))
    told = sums_of_lines(before).gross if before else Decimal("0.00")
    both: list[Any] = [*before, *lines]
    return {
        "total_before": told,
        "total_after": sums_of_lines(both).gross if both else Decimal("0.00"),
        "promised_before": commission.promise_on,
    }


def standing(offer: Offer, today: date) -> str:
    """Where a version stands on a day: one whose last day has passed is expired, acted on or not."""
    return str(Offer.Step.EXPIRED if offer.is_over(today) else offer.step)


def difference(shown: Offer, newest: Offer) -> dict[str, Any]:
    """What the newest version says otherwise than the one that was shown."""
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
    """Lines with a new amount or count under the same words, those that are gone, and those that are new."""
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
    """What an accepted version came to: its lines, those of the alternatives chosen, the sums, the day."""
    chosen = [one for one in offer.alternatives.order_by("position") if one.position in offer.chosen]
    lines = [*offer.lines.order_by("position"), *(line_for(one) for one in chosen)]
    price = price_of(lines) if lines else None
    return {
        "currency": offer.currency,
        "lines": line_views(lines, price) if price else [],
        **_sums(price.sums if price else None),
        "promise_on": offer.promise_on,
    }


def _told(lines: list[dict[str, Any]]) -> list[dict[str, str]]:
    return [
        {
            "description": line["description"],
            "quantity": f"{line['quantity'].normalize():f}",
            "amount": str(line_net(quantity=line["quantity"], unit_price=line["unit_price"])),
        }
        for line in lines
    ]


def _others(content: dict[str, Any]) -> list[Any]:
    return [(a["description"], a["difference"]) for a in content["alternatives"]]
