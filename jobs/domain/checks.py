"""Checks that many commands share, and the titles and times that refusals show.

A check of a value takes the value, what is allowed, and the words of its refusal.
"""

from collections.abc import Collection, Mapping
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.core.countries import COUNTRIES
from jobs.core.errors import Invalid, ShopError, WrongState
from jobs.core.refs import FORGOTTEN_CLIENT
from jobs.log.private_texts import read, store_private_text
from jobs.models import Board, Client, Commission, Offer, Paper, Person, Piece, Stage, Wait

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


def has_words(text: str, says: str, *, field: str, allowed: str) -> None:
    """Refuse a text without a word."""
    if not text.strip():
        raise Invalid(says, field=field, value=text, allowed=allowed)


def has_reason(reason: str, *, what: str, field: str = "reason") -> None:
    """Refuse an empty reason."""
    has_words(reason, f"{what} needs a reason", field=field, allowed="a sentence why")


def the_reason(reason: str, *, what: str) -> dict[str, str] | None:
    """Store a reason as a private text; refuse an empty one."""
    has_reason(reason, what=what)
    return store_private_text(reason, field="reason")


def one_of(
    value: Any,
    names: Collection[str],
    says: str = "not one of the choices",
    *,
    field: str,
    shown: int | None = None,
) -> None:
    """Refuse a value that is none of the names; a refusal shows so many characters of it."""
    if value not in names:
        told = value if shown is None else str(value)[:shown]
        raise Invalid(says, field=field, value=told, allowed=", ".join(names))


def no_others(given: Mapping[str, Any], names: Collection[str], says: str = "no such field") -> None:
    """Refuse fields that are none of the names."""
    if unknown := sorted(set(given) - set(names)):
        raise Invalid(says, field=unknown[0], value=given[unknown[0]], allowed=", ".join(names))


def in_range(value: Any, least: Any, most: Any, says: str, *, field: str) -> None:
    """Refuse a number or a day outside a range."""
    if not least <= value <= most:
        raise Invalid(says, field=field, value=value, allowed=f"{least} to {most}")


def at_most(value: Any, most: Any, says: str, *, field: str) -> None:
    """Refuse a number or a day beyond an end."""
    if value > most:
        raise Invalid(says, field=field, value=value, allowed=f"up to {most}")


def not_before(day: date, first: date, says: str, *, field: str) -> None:
    """Refuse a day before the first one that is allowed."""
    if day < first:
        raise Invalid(says, field=field, value=day, allowed=f"{first} or later")


def about(
    row: Board | Commission | Offer | Paper | Piece | Stage | Wait,
    says: str,
    *,
    allowed: str = "",
    error: type[ShopError] = WrongState,
    extra: dict[str, Any] | None = None,
) -> ShopError:
    """Return a refusal about a row: its sentence begins with the row's name, its field is the row's kind."""
    field = type(row).__name__.lower()
    value: str | int
    if isinstance(row, Stage):
        name, value = title_of(row), row.key
    elif isinstance(row, Wait):
        name, value = row.title, row.id
    else:
        value = row.number
        name = str(value) if isinstance(row, Offer | Paper) else f"{field} {value}"
    return error(f"{name} {says}", field=field, value=value, allowed=allowed, extra=extra)


def refuse_if_ended(commission: Commission) -> None:
    """Refuse a closed, declined or cancelled commission. Called by other commands."""
    if commission.step in Commission.ENDED:
        allowed = "commissions that are not closed, declined or cancelled"
        raise about(commission, f"is {commission.step}", allowed=allowed)


def is_forgotten(client: Client) -> bool:
    return client.name_ref == FORGOTTEN_CLIENT


def refuse_if_forgotten(client: Client) -> None:
    """Refuse a client who was forgotten. Called by other commands."""
    if is_forgotten(client):
        raise WrongState(
            _("this client is forgotten"), field="client", value=client.id, allowed=_("a client who is known")
        )


def check_email(address: str, *, field: str = "email") -> None:
    """Refuse text that is neither empty nor an e-mail address. Called by other commands."""
    try:
        if address.strip():
            validate_email(address.strip())
    except ValidationError as wrong:
        raise Invalid(
            "not an e-mail address", field=field, value=address, allowed="name@example.org"
        ) from wrong


def check_country(code: str) -> None:
    """Refuse text that is neither empty nor an ISO 3166-1 code of two letters.

    Called by other commands.
    """
    if code.strip() and code.strip() not in COUNTRIES:
        raise Invalid("not a country", field="country", value=code, allowed="two letters, such as US")


def check_day(text: str, *, field: str) -> None:
    """Refuse text that is neither empty nor a day such as 2027-01-31. Called by other commands."""
    try:
        if text:
            date.fromisoformat(text)
    except ValueError as wrong:
        raise Invalid("not a day", field=field, value=text, allowed="a day such as 2027-01-31") from wrong
