"""Client updates by mail: text, HTML, the chosen pictures and a separate link to the client's page.

The link is made when the mail is sent. Only its hash is stored; the mail alone holds the token.
"""

import smtplib
from datetime import datetime
from email.mime.image import MIMEImage
from email.utils import formataddr, parseaddr
from typing import Any

from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.core.errors import NotSent, WrongState
from jobs.domain.clients.portal_links import address_of, drop_unsent, make_mailed_link
from jobs.domain.clients.updates import pictures_of
from jobs.domain.notes.images import mailed
from jobs.domain.settings import profile
from jobs.log.private_texts import FORGOTTEN, Texts, refs_of
from jobs.models import ClientUpdate, Event
from jobs.models.bases import ROWS_PER_EVENT


class WillNever(Exception):
    """The mail can never be sent; a retry makes no sense."""


class WithPictures(EmailMultiAlternatives):
    """A mail whose text shows the pictures that it carries."""

    mixed_subtype = "related"


def send_update(key: int, now: datetime) -> None:
    """Send one update; a repeat carries the same Message-ID, so that it counts as one mail."""
    update = ClientUpdate.objects.select_related("commission__client").get(id=key)
    texts = _texts(update)
    try:
        connection = get_connection()
        connection.open()
    except Exception as away:
        raise NotSent(f"the mail server is away: {type(away).__name__}", away=True) from None
    try:
        _send(connection, update, texts, now)
    finally:
        connection.close()


def _send(connection: Any, update: ClientUpdate, texts: Texts, now: datetime) -> None:
    """Send the mail with its link; delete the link where the mail certainly did not go out."""
    try:
        link, token = make_mailed_link(
            update.commission, mail=f"update:{update.id}", by=update.told_by, now=now
        )
    except WrongState:
        raise WillNever("nobody is left to tell") from None
    try:
        if connection.send_messages([_mail(update, texts, address_of(token))]) != 1:
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


def _texts(update: ClientUpdate) -> Texts:
    """Return every private text of the mail; raise ``WillNever`` without an address or after erasure."""
    commission, shop = update.commission, profile()
    texts = Texts(refs_of([update, commission, commission.client, *([shop] if shop else [])]))
    address = texts[commission.client.email_ref]
    if FORGOTTEN in (texts[update.words_ref], address) or not address:
        raise WillNever("nobody is left to tell")
    return texts


def _mail(update: ClientUpdate, texts: Texts, link: str) -> EmailMultiAlternatives:
    commission, shop = update.commission, profile()
    words, address = texts[update.words_ref], texts[commission.client.email_ref]
    name = " ".join(texts[shop.name_ref].split()) if shop else ""
    answers_to = texts[shop.email_ref] if shop else ""
    shown = pictures_of([update])
    pictures = [shown[key] for key in update.pictures if key in shown]
    context = {
        "title": texts[commission.title_ref],
        "number": commission.number,
        "words": words,
        "link": link,
        "pictures": [f"picture-{n}" for n in range(1, len(pictures) + 1)],
        "shop": name,
        "contact": texts[shop.contact_ref] if shop else "",
        "answered": bool(answers_to),
        "day": timezone.localtime(update.told_at),
    }
    sender = parseaddr(settings.DEFAULT_FROM_EMAIL)[1]
    title = " ".join(texts[commission.title_ref].split())
    mail = WithPictures(
        subject=_("%(title)s: news from %(shop)s") % {"title": title, "shop": name or _("the workshop")},
        body=render_to_string("mail/update.txt", context),
        from_email=formataddr((name, sender)),
        to=[address],
        reply_to=[formataddr((name, answers_to))] if answers_to else None,
        headers={"Message-ID": message_id(update)},
    )
    mail.attach_alternative(render_to_string("mail/update.html", context), "text/html")
    for n, picture in enumerate(pictures, start=1):
        part = MIMEImage(mailed(Texts([picture.picture_ref])[picture.picture_ref]), "jpeg")
        part.add_header("Content-ID", f"<picture-{n}>")
        part.add_header("Content-Disposition", "inline", filename=f"picture-{n}.jpg")
        mail.attach(part)
    return mail


def message_id(update: ClientUpdate) -> str:
    """Return the Message-ID, from the hash of the event that told the update.

    No other shop has that hash.
    """
    event = Event.objects.get(seq=update.id // ROWS_PER_EVENT)
    return f"<{event.hash[:32]}@{parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition('@')[2]}>"
