"""Drafts of quotes and change orders: throw one away."""

from jobs import lookups
from jobs.errors import WrongState
from jobs.log import Writing, command
from jobs.models import Offer


@command
def drop_draft(log: Writing, *, offer: str) -> None:
    """Throw the drafted version away. What was issued stays, and holds as it did."""
    log.by_owner("a quote")
    found = lookups.offer(offer)
    commission = found.commission
    log.seen(commission.version, what=f"commission {commission.number}")
    if found.step != Offer.Step.DRAFT:
        raise WrongState(
            f"version {found.version} of {offer} is {found.step}",
            field="offer", value=offer, allowed="a draft",
        )  # fmt: skip
    log.append("offer_dropped", f"commission:{commission.number}", {"offer": offer, "version": found.version})
