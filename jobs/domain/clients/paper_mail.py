"""Papers by mail: what happened in two sentences, the PDF, the drawing, and a link to the client's page."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string

from jobs.core import blobs
from jobs.domain.clients.mailing import (
    Said,
    WillNever,
    addressed,
    message_id,
    send_with_link,
    shop_words,
)
from jobs.domain.clients.money_mail import BILLS
from jobs.domain.clients.portal_links import SENT
from jobs.domain.clients.quote_mail import QUOTES
from jobs.domain.settings import profile
from jobs.log.private_texts import FORGOTTEN, Texts, refs_of
from jobs.models import Commission, PaperSending

SAYS: dict[str, Callable[[PaperSending, Texts], Said]] = {**QUOTES, **BILLS}
"""What a mail says, by its occasion; ``words`` of the sending stand between the sentences and the facts."""


def sending_of(key: int) -> PaperSending:
    """Return a sending with its paper, commission and client."""
    return PaperSending.objects.select_related("paper__commission__client").get(id=key)


def send_paper(
    key: int, now: datetime, *, drawings: bytes | None = None, data: bytes | None = None,
    confirmation: bytes | None = None,
) -> None:  # fmt: skip
    """Mail one paper whose file is ready; a repeat carries the same Message-ID.

    ``data`` is an invoice as a bare file for bookkeeping programs, ``confirmation`` what was accepted.
    """
    sending = sending_of(key)
    commission, texts = commission_of(sending), _texts(sending)
    if sending.paper.is_forgotten:
        raise WillNever("there is no address to write to")
    files = [(f"{sending.paper.number}.pdf", blobs.load(sending.paper.file_sha256))]
    files += [(f"drawing-{commission.number}.pdf", drawings)] if drawings else []
    files += [(f"{sending.paper.number}.xml", data)] if data else []
    files += [(f"confirmation-{sending.paper.number}.pdf", confirmation)] if confirmation else []
    send_with_link(
        commission, lambda link: _mail(sending, texts, link, files),
        mail=f"{SENT}{sending.id}", by=sending.sent_by, now=now,
    )  # fmt: skip


def commission_of(sending: PaperSending) -> Commission:
    """Return the commission of a sending."""
    assert sending.paper.commission is not None, "a paper that is mailed is of a commission"
    return sending.paper.commission


def _texts(sending: PaperSending) -> Texts:
    """Return the private texts of the mail; raise ``WillNever`` without an address or after erasure."""
    commission, shop = commission_of(sending), profile()
    texts = Texts(refs_of([sending, commission, commission.client, *([shop] if shop else [])]))
    if FORGOTTEN in (texts[sending.to_ref], texts[commission.client.name_ref]) or not texts[sending.to_ref]:
        raise WillNever("there is no address to write to")
    return texts


def _mail(
    sending: PaperSending, texts: Texts, link: str, files: list[tuple[str, bytes]]
) -> EmailMultiAlternatives:
    commission, said = commission_of(sending), SAYS[sending.occasion](sending, texts)
    context: dict[str, Any] = {
        **shop_words(texts),
        **vars(said),
        "name": texts[commission.client.name_ref],
        "words": texts[sending.words_ref],
        "title": texts[commission.title_ref],
        "pdfs": [name for name, content in files if name.endswith(".pdf")],
        "has_data": any(name.endswith(".xml") for name, content in files),
        "link": link,
    }
    mail = EmailMultiAlternatives(
        subject=" ".join(said.subject.split()),
        body=render_to_string("mail/paper.txt", context),
        headers={"Message-ID": message_id(sending)},
        **addressed(texts, to=texts[sending.to_ref]),
    )
    mail.attach_alternative(render_to_string("mail/paper.html", context), "text/html")
    for name, content in files:
        mail.attach(name, content, "application/xml" if name.endswith(".xml") else "application/pdf")
    return mail
