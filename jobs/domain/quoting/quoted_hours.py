"""Quoted against actual hours: minutes by kind of stage, and their cost at the quoted rate."""

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from calcs.kit.rounding import places
from jobs.domain.checks import title_of
from jobs.domain.commissions.hours import plain_title
from jobs.domain.commissions.labour_rates import kind_of, rates
from jobs.models import Attempt, Commission, Offer, Stage

MINUTES = Decimal(60)


@dataclass(kw_only=True)
class Row:
    """Minutes of one kind of stage."""

    title: str
    quoted: Decimal | None = None
    spent: int = 0
    redone: int = 0
    open: int = 0

    def view(self, kind: str) -> dict[str, Any]:
        difference = None if self.quoted is None else self.spent + self.redone - self.quoted
        return {"kind": kind, **vars(self), "difference": difference}


def quoted_against_actual(commission: Commission) -> dict[str, Any]:
    """Return the hours of the agreed quote, else of the newest one, beside the hours that were worked."""
    offer = _quote(commission)
    pieces = offer.basis.get("pieces", []) if offer else []
    rows = _spent(commission)
    for piece in pieces:
        for stage in piece.get("stages", []):
            row = rows.setdefault(stage["kind"], Row(title=stage["title"]))
            row.quoted = (row.quoted or Decimal(0)) + Decimal(stage["minutes"])
    quoted = sum((Decimal(p["hours"]) * MINUTES for p in pieces), Decimal(0))
    by_stage = sum((row.quoted or Decimal(0) for row in rows.values()), Decimal(0))
    spent, redone = sum(r.spent for r in rows.values()), sum(r.redone for r in rows.values())
    whole = places(quoted, 0)
    return {
        "commission": commission.number,
        "quote": offer.number if offer else "",
        "standing": offer.step if offer else "",
        "currency": offer.currency if offer else "",
        "stages": [row.view(kind) for kind, row in rows.items()],
        "quoted": whole if offer else None,
        "in_one_sum": max(whole - by_stage, Decimal(0)) if offer else None,
        "spent": spent,
        "redone": redone,
        "open": sum(r.open for r in rows.values()),
        "difference": spent + redone - whole if offer else None,
        **_cost(pieces, quoted, spent + redone),
    }


def _quote(commission: Commission) -> Offer | None:
    quotes = commission.offers.filter(kind=Offer.Kind.QUOTE)
    agreed = quotes.filter(step=Offer.Step.ACCEPTED).first()
    return agreed or quotes.order_by("-version").first()


def _spent(commission: Commission) -> dict[str, Row]:
    """Return the minutes by kind of stage, in route order, passive stages left out.

    A maker's own stages are counted under their titles.
    """
    rows: dict[str, Row] = {}
    stages = Stage.objects.filter(piece__commission=commission).exclude(step=Stage.Step.SKIPPED)
    redone: dict[int, int] = defaultdict(int)
    for attempt in Attempt.objects.filter(stage__piece__commission=commission):
        redone[attempt.stage_id] += attempt.minutes or 0
    for stage in stages.order_by("piece__number", "position"):
        if stage.spec["passive"]:
            continue
        kind = kind_of(stage) or f"own: {title_of(stage)}"
        title = title_of(stage) if stage.title_ref else plain_title(stage.spec)
        row = rows.setdefault(kind, Row(title=title))
        row.spent += stage.minutes or 0
        row.redone += redone[stage.id]
        row.open += stage.step not in (Stage.Step.DONE, Stage.Step.WAITING)
    return rows


def _cost(pieces: list[dict[str, Any]], quoted: Decimal, spent: int) -> dict[str, Any]:
    """Return the cost of quoted and worked hours at the quote's hourly rate; None without a rate."""
    told = [line["unit_price"] for p in pieces for line in p.get("lines", []) if line["unit"] == "h"]
    if not told:
        return {"rate": None, "cost_quoted": None, "cost_spent": None}
    rate = Decimal(told[0])
    return {
        "rate": rate,
        "cost_quoted": places(quoted / MINUTES * rate, 2),
        "cost_spent": places(Decimal(spent) / MINUTES * rate, 2),
    }


def own_rates() -> list[dict[str, Any]]:
    """Return every labour rate in the log, also those with too few jobs to be offered."""
    return [
        {
            "kind": rate.kind,
            "title": rate.title,
            "per": rate.per,
            "jobs": rate.jobs,
            "median": places(rate.median, 1),
            "least": places(rate.least, 1),
            "most": places(rate.most, 1),
            "is_offered": rate.is_offered,
        }
        for rate in sorted(rates().values(), key=lambda r: (-r.jobs, r.title))
    ]
