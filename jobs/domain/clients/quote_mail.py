"""What a client reads in the mails about quotes and change orders."""

from collections.abc import Callable
from datetime import date
from typing import Any

from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _

from jobs.domain.clients.mailing import Fact, Said, money_words
from jobs.domain.quoting.offer_content import agreed, offer_content
from jobs.domain.quoting.sending import ACCEPTED, AGAIN, QUOTE
from jobs.domain.settings import tax_name
from jobs.log.private_texts import Texts
from jobs.models import Offer, PaperSending


def _quote(sending: PaperSending, texts: Texts) -> Said:
    offer = _offer(sending)
    content, what = offer_content(offer), _names(offer, texts)
    if offer.kind == Offer.Kind.CHANGE:
        subject, says = _("%(title)s: the change we talked about"), _("Here is the change to your %(piece)s.")
    else:
        subject, says = _("%(title)s: our quote"), _("Here is our quote for your %(piece)s.")
    until = {"day": _day(offer.valid_until)}
    return Said(
        subject=subject % what,
        sentences=[says % what, _("It is good until %(day)s; you can answer on your page.") % until],
        facts=_facts(offer, content),
        button=_("See it and answer"),
    )


def _again(sending: PaperSending, texts: Texts) -> Said:
    offer = _offer(sending)
    return Said(
        subject=_("%(title)s: may we help with our quote?") % _names(offer, texts),
        sentences=[],
        facts=_facts(offer, offer_content(offer)),
        button=_("See it and answer"),
    )


def _accepted(sending: PaperSending, texts: Texts) -> Said:
    offer = _offer(sending)
    what = {**_names(offer, texts), "paper": sending.paper.number}
    return Said(
        subject=_("%(title)s: thank you for your order") % what,
        sentences=[
            _("Thank you: you accepted %(paper)s for your %(piece)s.") % what,
            _("What you accepted is with this mail, to keep."),
        ],
        facts=_facts(offer, agreed(offer), chosen=True),
        button=_("Open your page"),
    )


QUOTES: dict[str, Callable[[PaperSending, Texts], Said]] = {
    QUOTE: _quote, AGAIN: _again, ACCEPTED: _accepted,
}  # fmt: skip
"""The mails of this file by their occasion."""


def _offer(sending: PaperSending) -> Offer:
    return sending.paper.offers.select_related("commission__client", "paper").get()


def _names(offer: Offer, texts: Texts) -> dict[str, str]:
    """Return what a mail calls the work: as a title, and within a sentence."""
    title = texts[offer.commission.title_ref]
    return {"title": title, "piece": _within(title)}


def _within(title: str) -> str:
    """Return a title as it stands within a sentence: small, unless it begins with a name in capitals."""
    return title[:1].lower() + title[1:] if title[1:2].islower() else title


def _facts(offer: Offer, content: dict[str, Any], *, chosen: bool = False) -> list[Fact]:
    """Return price, deposit and date, and what was chosen."""
    currency = offer.currency
    whole = offer.kind == Offer.Kind.QUOTE
    says = _("Together, %(tax)s included") if whole else _("Change in price, %(tax)s included")
    total = says % {"tax": _(tax_name())}
    facts = [(total, money_words(content["total"], currency))] if content["lines"] else []
    if chosen:
        ones = offer_content(offer)["alternatives"]
        facts += [(_("Chosen"), one["description"]) for one in ones if one["position"] in offer.chosen]
    deposit = content.get("deposit")
    if whole and deposit:
        facts.append((_("Deposit, with your order"), money_words(deposit, currency)))
    if offer.promise_on:
        facts.append((_("Ready by"), _day(offer.promise_on)))
    return facts


def _day(day: date | None) -> str:
    return date_format(day, "j F Y") if day else ""


def proposed_words(offer: Offer, *, texts: Texts) -> str:
    """Return what a mail that asks again could say; the shop edits it."""
    told = {**_names(offer, texts), "day": _day(offer.valid_until)}
    return (
        _(
            "A few days ago we sent you our quote for your %(piece)s. Is there anything you would like to ask"
            " or change?\n\nIt is good until %(day)s."
        )
        % told
    )
