"""Checks that many commands share, and the titles and times that refusals show."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.core.countries import COUNTRIES
from jobs.core.errors import Invalid, WrongState
from jobs.core.refs import FORGOTTEN_CLIENT
from jobs.log.private_texts import read, store_private_text
from jobs.models import Client, Commission, Person, Stage

SYSTEM = "shop"
"""The actor of automatic changes."""


def title_of(stage: Stage) -> str:
    """Return a stage's title: the template's, or the maker's own words."""
    return read(stage.title_ref) if stage.title_ref else str(stage.spec["title"])


def person_name(actor: str) -> str:
    """Return the name of the person who acted; the id where that person is gone."""
    person = Person.objects.filter(id=actor).first()
    return str(person) if person else actor


def clock(moment: datetime | None) -> str:
    """Return a moment on the shop's clock."""
    return f"{timezone.localtime(moment):%Y-%m-%d %H:%M:%S}" if moment else ""


def the_reason(reason: str, *, what: str) -> dict[str, str] | None:
    """Store a reason as a private text; refuse an empty one."""
    if not reason.strip():
        raise Invalid(f"{what} needs a reason", field="reason", value=reason, allowed="a sentence why")
    return store_private_text(reason, field="reason")


def refuse_if_ended(commission: Commission) -> None:
    """Refuse a closed, declined or cancelled commission. Called by other commands."""
    if commission.step in Commission.ENDED:
        raise WrongState(
            f"commission {commission.number} is {commission.step}",
            field="commission",
            value=commission.number,
            allowed="commissions that are not closed, declined or cancelled",
        )


def is_forgotten(client: Client) -> bool:
    return client.name_ref == FORGOTTEN_CLIENT


def refuse_if_forgotten(client: Client) -> None:
    """Refuse a client who was forgotten. Called by other commands."""
    if is_forgotten(client):
        raise WrongState(
            _("this client is forgotten"), field="client", value=client.id, allowed=_("a client who is known")
        )


def check_email(address: str) -> None:
    """Refuse text that is neither empty nor an e-mail address. Called by other commands."""
    try:
        if address.strip():
            validate_email(address.strip())
    except ValidationError as wrong:
        raise Invalid(
            "not an e-mail address", field="email", value=address, allowed="name@example.org"
        ) from wrong


def check_country(code: str) -> None:
    """Refuse text that is neither empty nor an ISO 3166-1 code of two letters.

    Called by other commands.
    """
    if code.strip() and code.strip() not in COUNTRIES:
        raise Invalid("not a country", field="country", value=code, allowed="two letters, such as US")
