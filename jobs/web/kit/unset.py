"""What the shop has not set yet, asked where it is first needed."""

from collections.abc import Iterator

from django.utils.translation import gettext as _

from jobs.domain.settings import profile
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Person
from jobs.web.kit.shop_sections import setting_page
from jobs.web.kit.stored_translations import Text

NEEDED: dict[str, tuple[str, ...]] = {"papers": ("name", "address", "payment"), "mail": ("name", "email")}
"""The texts of the shop that papers and mails carry."""


def still_to_set(purpose: str, person: Person) -> Iterator[tuple[Text, str]]:
    """Yield what is missing for papers or mails, and the page where the owner sets it."""
    if not person.is_owner:
        return
    shop = profile()
    texts = Texts(refs_of([shop])) if shop else None
    says = {
        "name": _("The shop has no name yet"),
        "address": _("The shop has no address yet"),
        "payment": _("Invoices do not say yet how to pay"),
        "email": _("Answers to mails have no address yet"),
    }
    for name in NEEDED[purpose]:
        held = ("payment", "iban") if name == "payment" else (name,)
        if texts is None or not any(texts[getattr(shop, f"{one}_ref")] for one in held):
            yield says[name], setting_page(name)
