"""Drafts of quotes and change orders: find one, and drop one."""

from jobs.core.errors import WrongState
from jobs.domain import lookups
from jobs.log.commands import CommandTransaction, command
from jobs.models import Offer


@command
def drop_draft(tx: CommandTransaction, *, offer: str) -> None:
    """Drop the drafted version. An issued version stays valid."""
    found = the_draft(tx, offer)
    stream = f"commission:{found.commission.number}"
    tx.append("offer_dropped", stream, {"offer": offer, "version": found.version})


def the_draft(tx: CommandTransaction, offer: str, *, allowed: str = "a draft") -> Offer:
    """Return the drafted version; refuse makers and a stale version of its commission."""
    tx.require_owner("a quote")
    found = lookups.offer(offer)
    tx.check_version(found.commission.version, what=f"commission {found.commission.number}")
    if found.step != Offer.Step.DRAFT:
        says = f"version {found.version} of {offer} is {found.step}"
        raise WrongState(says, field="offer", value=offer, allowed=allowed)
    return found
