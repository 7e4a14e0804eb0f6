"""Links that open a client's page: made, found, revoked. Beside the log: access is revocable and secret."""

import secrets
from datetime import datetime

from django.db import transaction

from jobs import lookups
from jobs.errors import NotFound
from jobs.forgetting import refuse_if_forgotten
from jobs.log import take_head
from jobs.models import ClientLink, Person
from jobs.people import token_hash


@transaction.atomic
def make_link(person: Person, *, commission: str, now: datetime) -> tuple[ClientLink, str]:
    """A new link of a commission and its token, shown this once; the one before opens nothing any more."""
    found = lookups.commission(commission)
    refuse_if_forgotten(found.client)
    number = found.number
    take_head()  # two that make a link at once follow one another
    ClientLink.objects.filter(commission=number, revoked_at=None).update(revoked_at=now)
    token = secrets.token_urlsafe(32)
    link = ClientLink.objects.create(
        commission=number, sha256=token_hash(token), made_at=now, made_by=person.id
    )
    return link, token


def link_of(commission: str) -> ClientLink | None:
    """The link that opens this commission's page now."""
    return ClientLink.objects.filter(commission=commission, revoked_at=None).first()


def find_link(token: str) -> ClientLink | None:
    """The link of this token while it holds."""
    return ClientLink.objects.filter(sha256=token_hash(token), revoked_at=None).first()


def revoke_link(*, commission: str, now: datetime) -> None:
    """From now on the link opens nothing."""
    number = lookups.commission(commission).number
    if not ClientLink.objects.filter(commission=number, revoked_at=None).update(revoked_at=now):
        raise NotFound("there is no link to this commission", field="commission", value=number)
