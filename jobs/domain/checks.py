"""How things are called on screens and in refusals."""

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
"""The actor of what the service does by itself."""


def title_of(stage: Stage) -> str:
    """A stage's title: the template's, or the maker's own words."""
    return read(stage.title_ref) if stage.title_ref else str(stage.spec["title"])


def person_name(actor: str) -> str:
    """The name of who acted; the id where that person is gone."""
    person = Person.objects.filter(id=actor).first()
    return str(person) if person else actor


def clock(moment: datetime | None) -> str:
    """A moment on the shop's clock."""
    return f"{timezone.localtime(moment):%Y-%m-%d %H:%M:%S}" if moment else ""


def the_reason(reason: str, *, what: str) -> dict[str, str] | None:
    """A reason kept beside the log; an empty one is refused."""
    if not reason.strip():
        raise Invalid(f"{what} needs a reason", field="reason", value=reason, allowed="a sentence why")
    return store_private_text(reason, field="reason")


def refuse_if_ended(commission: Commission) -> None:
    """Nothing more is done on a closed, declined or cancelled commission. For other commands."""
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
    """Nothing new is written of somebody who was forgotten. For commands."""
    if is_forgotten(client):
        raise WrongState(
            _("this client is forgotten"), field="client", value=client.id, allowed=_("a client who is known")
        )


def check_email(address: str) -> None:
    """One address, or nothing. For other commands."""
    try:
        if address.strip():
            validate_email(address.strip())
    except ValidationError as wrong:
        raise Invalid(
            "not an e-mail address", field="email", value=address, allowed="name@example.org"
        ) from wrong


def check_country(code: str) -> None:
    """Two letters of ISO 3166-1, or nothing. For other commands."""
    if code.strip() and code.strip() not in COUNTRIES:
        raise Invalid("not a country", field="country", value=code, allowed="two letters, such as US")
