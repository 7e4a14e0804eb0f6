"""Mails to a client: each carries its own link to the client's page.

The link is made as the mail is sent. Only its hash is stored; the mail alone holds the token.
"""

import smtplib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from email.utils import formataddr, parseaddr
from typing import Any

from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection

from jobs.core.errors import NotSent, WrongState
from jobs.domain.clients.portal_links import address_of, drop_unsent, make_mailed_link
from jobs.domain.settings import profile
from jobs.log.private_texts import Texts
from jobs.models import ClientUpdate, Commission, Event, PaperSending
from jobs.models.bases import ROWS_PER_EVENT

Write = Callable[[str], EmailMultiAlternatives]
"""Write the mail around the address of the client's page."""


Fact = tuple[str, str]
"""The label and the text of a line in a mail."""


@dataclass(frozen=True, kw_only=True)
class Said:
    """What a mail says: its subject, what happened, the facts, and the words on the link."""

    subject: str
    sentences: list[str]
    facts: list[Fact]
    button: str


class WillNever(Exception):
    """The mail can never be sent; a retry makes no sense."""


def send_with_link(commission: Commission, write: Write, *, mail: str, by: str, now: datetime) -> None:
    """Send one mail; ``mail`` names it in the list of links."""
    try:
        connection = get_connection()
        connection.open()
    except Exception as away:
        raise NotSent(f"the mail server is away: {type(away).__name__}", away=True) from None
    try:
        _send(connection, commission, write, mail=mail, by=by, now=now)
    finally:
        connection.close()


def _send(
    connection: Any, commission: Commission, write: Write, *, mail: str, by: str, now: datetime
) -> None:
    """Send the mail with its link; delete the link where the mail certainly did not go out."""
    try:
        link, token = make_mailed_link(commission, mail=mail, by=by, now=now)
    except WrongState:
        raise WillNever("there is no address to write to") from None
    try:
        if connection.send_messages([write(address_of(token))]) != 1:
            drop_unsent(link)
            raise OSError("the mail server took nothing")
    except smtplib.SMTPRecipientsRefused as refused:  # the error text names the address
        drop_unsent(link)
        raise _refusal(max(code for code, _ in refused.recipients.values())) from None
    except smtplib.SMTPResponseException as refused:
        drop_unsent(link)
        raise _refusal(refused.smtp_code) from None


def _refusal(code: int) -> Exception:
    says = f"the mail server refused it: {code}"
    return WillNever(says) if code >= 500 else NotSent(says)


def addressed(texts: Texts, *, to: str) -> dict[str, Any]:
    """Return sender, addressee and answers of a mail to a client; ``texts`` has those of the shop."""
    shop = profile()
    name = shop_name(texts)
    answers_to = texts[shop.email_ref] if shop else ""
    return {
        "from_email": formataddr((name, parseaddr(settings.DEFAULT_FROM_EMAIL)[1])),
        "to": [to],
        "reply_to": [formataddr((name, answers_to))] if answers_to else None,
    }


def shop_words(texts: Texts) -> dict[str, Any]:
    """Return what every mail says of the shop at its end."""
    shop = profile()
    return {
        "shop": shop_name(texts),
        "contact": texts[shop.contact_ref] if shop else "",
        "answered": bool(shop and texts[shop.email_ref]),
    }


def shop_name(texts: Texts) -> str:
    """Return the shop's name on one line."""
    shop = profile()
    return " ".join(texts[shop.name_ref].split()) if shop else ""


def money_words(amount: Decimal, currency: str) -> str:
    """Return an amount as a client reads it."""
    return f"{amount:,.2f} {currency}"


def message_id(row: ClientUpdate | PaperSending) -> str:
    """Return the Message-ID, from the hash of the event that made the row; no other shop has that hash."""
    event = Event.objects.get(seq=row.id // ROWS_PER_EVENT)
    return f"<{event.hash[:32]}@{parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition('@')[2]}>"
