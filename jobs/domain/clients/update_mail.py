"""Client updates by mail: text, HTML, the chosen pictures and a separate link to the client's page."""

from datetime import datetime
from email.mime.image import MIMEImage

from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.domain.clients.mailing import WillNever, addressed, message_id, send_with_link, shop_words
from jobs.domain.clients.updates import pictures_of
from jobs.domain.notes.images import mailed
from jobs.domain.settings import profile
from jobs.log.private_texts import FORGOTTEN, Texts, refs_of
from jobs.models import ClientUpdate


class WithPictures(EmailMultiAlternatives):
    """A mail whose text shows the pictures that it carries."""

    mixed_subtype = "related"


def send_update(key: int, now: datetime) -> None:
    """Send one update; a repeat carries the same Message-ID, so that it counts as one mail."""
    update = ClientUpdate.objects.select_related("commission__client").get(id=key)
    texts = _texts(update)
    send_with_link(
        update.commission, lambda link: _mail(update, texts, link),
        mail=f"update:{update.id}", by=update.told_by, now=now,
    )  # fmt: skip


def _texts(update: ClientUpdate) -> Texts:
    """Return every private text of the mail; raise ``WillNever`` without an address or after erasure."""
    commission, shop = update.commission, profile()
    texts = Texts(refs_of([update, commission, commission.client, *([shop] if shop else [])]))
    address = texts[commission.client.email_ref]
    if FORGOTTEN in (texts[update.words_ref], address) or not address:
        raise WillNever("there is no address to write to")
    return texts


def _mail(update: ClientUpdate, texts: Texts, link: str) -> EmailMultiAlternatives:
    commission, shop = update.commission, shop_words(texts)
    shown = pictures_of([update])
    pictures = [shown[key] for key in update.pictures if key in shown]
    context = {
        **shop,
        "name": texts[commission.client.name_ref],
        "title": texts[commission.title_ref],
        "number": commission.number,
        "words": texts[update.words_ref],
        "link": link,
        "pictures": [f"picture-{n}" for n in range(1, len(pictures) + 1)],
        "day": timezone.localtime(update.told_at),
    }
    title = " ".join(texts[commission.title_ref].split())
    mail = WithPictures(
        subject=_("%(title)s: news from %(shop)s")
        % {"title": title, "shop": shop["shop"] or _("the workshop")},
        body=render_to_string("mail/update.txt", context),
        headers={"Message-ID": message_id(update)},
        **addressed(texts, to=texts[commission.client.email_ref]),
    )
    mail.attach_alternative(render_to_string("mail/update.html", context), "text/html")
    for n, picture in enumerate(pictures, start=1):
        part = MIMEImage(mailed(Texts([picture.picture_ref])[picture.picture_ref]), "jpeg")
        part.add_header("Content-ID", f"<picture-{n}>")
        part.add_header("Content-Disposition", "inline", filename=f"picture-{n}.jpg")
        mail.attach(part)
    return mail
