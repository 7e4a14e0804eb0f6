"""Commands that send a quote or change order to its client, and ask again."""

from jobs.core.errors import NotYet
from jobs.domain import lookups
from jobs.domain.checks import about, has_words, refuse_if_forgotten
from jobs.domain.papers.sending import address_for, send_paper
from jobs.domain.quoting.offer_content import standing
from jobs.domain.quoting.quotes import issue
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import read
from jobs.models import Offer

QUOTE, AGAIN, ACCEPTED = "quote", "quote again", "accepted"
"""The occasions of mails about quotes and change orders."""
ASKED_WITH = (QUOTE, AGAIN)
"""Occasions on which the client was asked for an answer."""


@command
def send_offer(
    tx: CommandTransaction, *, offer: str, to: str = "", words: str = "", by_hand: bool = False
) -> None:
    """Send the newest version by mail, issuing a draft first.

    ``to`` is the client's known address, else the one given, which is kept as the client's. ``by_hand``: the
    printed paper was handed over.
    """
    tx.require_owner("a quote")
    found = lookups.offer(offer)
    tx.check_version(found.commission.version, what=f"commission {found.commission.number}")
    if found.step == Offer.Step.DRAFT:
        issue(tx, found)
        found = lookups.offer(offer)
    _send(tx, found, QUOTE, to=to, words=words, by_hand=by_hand)


@command
def follow_up(tx: CommandTransaction, *, offer: str, words: str, to: str = "") -> None:
    """Ask once more for an answer to the newest version, by mail."""
    tx.require_owner("a quote")
    found = lookups.offer(offer)
    tx.check_version(found.commission.version, what=f"commission {found.commission.number}")
    has_words(words, "the mail needs words", field="words", allowed="a sentence or more")
    sent = found.paper and found.paper.sendings.filter(occasion__in=ASKED_WITH, failed_at=None).exists()
    if not sent:
        says = f"{offer} was not sent yet"
        raise NotYet(says, field="offer", value=offer, allowed="send it first")
    _send(tx, found, AGAIN, to=to, words=words)


def confirm(tx: CommandTransaction, offer: Offer) -> None:
    """Mail the client what was accepted, where an address is known. Called by other commands."""
    address = read(offer.commission.client.email_ref)
    if address and offer.paper:
        offer.paper.commission = offer.commission  # read already
        send_paper(tx, offer.paper, occasion=ACCEPTED, to=address)


def _send(
    tx: CommandTransaction, found: Offer, occasion: str, *, to: str, words: str, by_hand: bool = False
) -> None:
    today = tx.call.day
    if standing(found, today) != Offer.Step.ISSUED or found.paper is None:
        raise about(found, f"is {standing(found, today)}", allowed="a draft, or an issued version that holds")
    client = found.commission.client
    refuse_if_forgotten(client)
    address = "" if by_hand else address_for(tx, client, to)
    send_paper(tx, found.paper, occasion=occasion, to=address, words=words)
