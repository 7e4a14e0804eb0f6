"""Quotes counted by year: out, won, lost and why; and the quotes that are out now."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone

from calcs.kit.rounding import places
from jobs.domain.billing.deposits import sums_of_lines
from jobs.domain.quoting.losses import NOT_SAID
from jobs.domain.quoting.next_step import next_step, with_client, with_sending
from jobs.domain.quoting.offer_content import standing
from jobs.log.private_texts import Texts
from jobs.models import Commission, Offer, OfferLine

Step = Offer.Step
LOST = (Step.DECLINED, Step.EXPIRED)


@dataclass(kw_only=True)
class Year:
    """The quotes first issued in one year."""

    year: int
    issued: int = 0
    out: int = 0
    won: int = 0
    lapsed: int = 0
    declined: int = 0
    because: Counter[str] = field(default_factory=Counter)

    @property
    def hit_pct(self) -> int | None:
        """Return the share of the decided quotes that was won, in percent; None before the first."""
        decided = self.won + self.lapsed + self.declined
        return int(places(Decimal(100 * self.won) / decided, 0)) if decided else None

    def view(self) -> dict[str, Any]:
        """Return the counts of the year, its reasons most frequent first."""
        reasons = [{"because": name, "count": count} for name, count in self.because.most_common()]
        return {**vars(self), "because": reasons, "hit_pct": self.hit_pct}


def quotes_by_year(today: date) -> list[dict[str, Any]]:
    """Return the quotes by the year of their first issue, the newest year first."""
    years: dict[int, Year] = {}
    columns = ("number", "step", "valid_until", "issued_at", "because", "commission__step")
    kept = Offer.objects.filter(kind=Offer.Kind.QUOTE).exclude(step=Step.DRAFT).order_by("number", "version")
    kept = kept.select_related("commission")
    first: dict[str, int] = {}
    newest: dict[str, Offer] = {}
    for offer in kept.only(*columns):
        assert offer.issued_at is not None, "an issued version has its time"
        first.setdefault(offer.number, timezone.localtime(offer.issued_at).year)
        newest[offer.number] = offer
    for number, offer in newest.items():
        _count(years.setdefault(first[number], Year(year=first[number])), offer, _end(offer, today))
    return [years[year].view() for year in sorted(years, reverse=True)]


def _end(offer: Offer, today: date) -> str:
    """Return how a quote ended; that of an enquiry which ended without an answer counts as declined."""
    stands = standing(offer, today)
    ended = offer.commission.step in (Commission.Step.DECLINED, Commission.Step.CANCELLED)
    return Step.DECLINED if ended and stands == Step.ISSUED else stands


def _count(year: Year, offer: Offer, how: str) -> None:
    year.issued += 1
    year.won += how == Step.ACCEPTED
    year.out += how == Step.ISSUED
    year.declined += how == Step.DECLINED
    year.lapsed += how == Step.EXPIRED
    if how in LOST:
        year.because[offer.because or NOT_SAID] += 1


def quotes_out(today: date) -> list[dict[str, Any]]:
    """Return the quotes that wait: drafts, those with a client, and those that lapsed without a word."""
    rows = Offer.objects.filter(kind=Offer.Kind.QUOTE, commission__step__in=("enquiry", "quoted"))
    found = with_sending(rows.select_related("commission__client").order_by("number", "version"))
    newest = list({offer.number: offer for offer in found}.values())
    lines = _lines_of(newest)
    texts = Texts([ref for o in newest for ref in (o.commission.title_ref, o.commission.client.name_ref)])
    told = []
    for offer in newest:
        out = with_client(offer.sent_at, offer.opened_at)  # type: ignore[attr-defined]
        held = lines[offer.id]
        told.append(
            {
                "number": offer.number,
                "commission": offer.commission.number,
                "title": texts[offer.commission.title_ref],
                "client": texts[offer.commission.client.name_ref],
                "total": sums_of_lines(held).gross if held else None,
                "currency": offer.currency,
                "standing": standing(offer, today),
                "valid_until": offer.valid_until,
                "do": next_step(offer, out, today),
                **vars(out),
            }
        )
    return told


def _lines_of(offers: Iterable[Offer]) -> dict[int, list[OfferLine]]:
    found: dict[int, list[OfferLine]] = defaultdict(list)
    for line in OfferLine.objects.filter(offer__in=list(offers)).order_by("position"):
        found[line.offer_id].append(line)
    return found
