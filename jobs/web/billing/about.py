"""What the pages of money say of the order that they are about."""

from typing import Any

from django.utils.translation import gettext as _

from jobs.domain.papers.kinds import paper_title
from jobs.domain.papers.letterhead import currency_of
from jobs.log.private_texts import FORGOTTEN, Texts
from jobs.models import Commission
from jobs.web.kit.stored_translations import translate_stored


def about(commission: Commission) -> dict[str, Any]:
    """Return number, title, client, mail address and currency of an order."""
    client = commission.client
    texts = Texts([commission.title_ref, client.name_ref, client.email_ref])
    address = texts[client.email_ref]
    return {
        "number": commission.number,
        "title": texts[commission.title_ref],
        "client": texts[client.name_ref],
        "address": "" if address == FORGOTTEN else address,
        "currency": currency_of(commission),
    }


def paper_name(kind: str, what: str) -> str:
    """Return the title of a paper; a deposit invoice has its own."""
    return _("Deposit invoice") if what else translate_stored(paper_title(kind))
