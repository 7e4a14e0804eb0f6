"""What the owner does next about a quote: send it, wait for the client, ask again, revise it or let it go."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery
from django.utils import timezone

from jobs.domain.quoting.offer_content import standing
from jobs.domain.quoting.sending import ASKED_WITH
from jobs.domain.settings import settings
from jobs.models import Offer, PaperSending

SEND, WAIT, AGAIN, LAPSED = "Send the quote", "Wait for the client", "Ask again", "Revise or let go"


@dataclass(frozen=True, kw_only=True)
class WithClient:
    """A quote that is out: when it was sent last, when the client first opened it, when to ask again."""

    sent_at: datetime | None = None
    opened_at: datetime | None = None
    ask_on: date | None = None


def with_sending(offers: QuerySet[Offer]) -> QuerySet[Offer]:
    """Add to each version when it was last sent, and when it was first opened."""
    sent = PaperSending.objects.filter(paper=OuterRef("paper"), occasion__in=ASKED_WITH, failed_at=None)
    opened = sent.exclude(opened_at=None).order_by("opened_at").values("opened_at")
    return offers.annotate(
        sent_at=Subquery(sent.order_by("-id").values("sent_at")[:1]), opened_at=Subquery(opened[:1])
    )


def with_client(sent_at: datetime | None, opened_at: datetime | None) -> WithClient:
    """Return how a quote is out, from the columns of ``with_sending``."""
    days = int(settings()["quote_follow_up_days"])
    ask_on = timezone.localtime(sent_at).date() + timedelta(days=days) if sent_at and days else None
    return WithClient(sent_at=sent_at, opened_at=opened_at, ask_on=ask_on)


def next_step(offer: Offer, out: WithClient, today: date) -> str:
    """Return the next step about the newest version of a quote."""
    stands = standing(offer, today)
    if stands == Offer.Step.DRAFT or (stands == Offer.Step.ISSUED and out.sent_at is None):
        return SEND
    if stands == Offer.Step.ISSUED:
        return AGAIN if out.ask_on and out.ask_on <= today else WAIT
    return LAPSED


def quote_state(offer: Offer, today: date) -> dict[str, Any]:
    """Return how a quote stands, for its page."""
    return _state(with_sending(Offer.objects.filter(id=offer.id)).get(), today)


def state_of_quote(offers: Iterable[Offer], today: date) -> dict[str, Any] | None:
    """Return how the newest quote of a commission stands, from rows read ``with_sending``; None without."""
    quotes = [one for one in offers if one.kind == Offer.Kind.QUOTE]
    return _state(max(quotes, key=lambda one: one.version), today) if quotes else None


def _state(offer: Any, today: date) -> dict[str, Any]:
    out = with_client(offer.sent_at, offer.opened_at)
    return {
        "offer": offer.number,
        "version": offer.version,
        "standing": standing(offer, today),
        "do": next_step(offer, out, today),
        "valid_until": offer.valid_until,
        **vars(out),
    }
