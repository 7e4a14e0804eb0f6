"""Quotes that were lost: the reason is noted once and counted; a decline can be taken back."""

from datetime import date

from django.utils.translation import gettext_noop as _

from jobs.core.errors import AlreadyDone, WrongState
from jobs.domain import lookups
from jobs.domain.checks import about, one_of, refuse_if_forgotten
from jobs.domain.lifecycle import move
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import store_private_text
from jobs.models import Commission, Offer

NOT_SAID = _("not said")
BECAUSE = (_("price"), _("time"), _("elsewhere"), _("no answer"), _("other"), NOT_SAID)
"""Why a quote is lost: too dear, too late, they went elsewhere, they did not answer."""
LONGEST_REASON = 4000
Step = Offer.Step


@command
def let_go(tx: CommandTransaction, *, offer: str, because: str = NOT_SAID, reason: str = "") -> None:
    """Give up a quote that lapsed, or note why one was declined; the commission is declined."""
    tx.require_owner("a quote")
    found = lookups.offer(offer)
    commission = found.commission
    tx.check_version(commission.version, what=f"commission {commission.number}")
    expire(tx, offer, tx.call.day)
    if found.step not in (Step.EXPIRED, Step.DECLINED):
        raise about(found, f"is {found.step}", allowed="a quote that lapsed or was declined")
    if found.because:
        raise about(found, f"is noted as lost: {found.because}", allowed="once", error=AlreadyDone)
    note_loss(tx, found, because=because, reason=reason)
    end_enquiry(tx, found, reason)


def note_loss(tx: CommandTransaction, offer: Offer, *, because: str, reason: str = "") -> None:
    """Append why an offer was lost. Called by other commands."""
    one_of(because, BECAUSE, field="because")
    tx.append(
        "quote_lost",
        f"commission:{offer.commission.number}",
        {
            "offer": offer.number,
            "version": offer.version,
            "because": because,
            "reason": store_private_text(reason, field="reason", longest=LONGEST_REASON),
        },
    )


def end_enquiry(tx: CommandTransaction, offer: Offer, reason: str) -> None:
    """Decline the commission of a lost quote; a change order ends nothing. Called by other commands."""
    if offer.kind == Offer.Kind.QUOTE and offer.commission.step in Commission.UNDECIDED:
        move(tx, offer.commission, Commission.Step.DECLINED, reason)


def expire(tx: CommandTransaction, offer: str, today: date) -> None:
    """Append the expiry of an issued version whose last day has passed. Called by other commands."""
    for one in Offer.objects.filter(number=offer, step=Step.ISSUED):
        if one.is_over(today):
            tx.append(
                "offer_expired",
                f"commission:{one.commission.number}",
                {"offer": offer, "version": one.version},
            )


@command
def take_back_decline(tx: CommandTransaction, *, commission: str) -> None:
    """Take a declined commission up again; a quote that the client declined is open again."""
    tx.require_owner("taking a commission up again")
    found = lookups.commission(commission)
    tx.check_version(found.version, what=f"commission {found.number}")
    refuse_if_forgotten(found.client)
    if found.step != Commission.Step.DECLINED:
        says = f"commission {commission} is {found.step}"
        raise WrongState(says, field="commission", value=commission, allowed="a declined commission")
    take_up(tx, found, reopen=True)


def take_up(tx: CommandTransaction, commission: Commission, *, reopen: bool) -> None:
    """Append that a declined commission goes on; ``reopen`` its declined quote. Called by other commands."""
    quotes = commission.offers.filter(kind=Offer.Kind.QUOTE).exclude(step=Step.DRAFT)
    quote = quotes.order_by("-version").first()
    to = Commission.Step.QUOTED if quote else Commission.Step.ENQUIRY
    tx.append(
        "decline_taken_back",
        f"commission:{commission.number}",
        {
            "number": commission.number,
            "to": to,
            "offer": quote.number if quote and reopen else "",
            "version": quote.version if quote and reopen else 0,
            "is_open": reopen and quote is not None and quote.step == Step.DECLINED,
        },
    )
    commission.step = to
