"""Links that open a client's page: make, find, revoke. Outside the log: access is revocable and secret."""

import secrets
from datetime import datetime
from typing import Any

from django.conf import settings
from django.db import transaction

from jobs.core.errors import NotFound
from jobs.domain import lookups
from jobs.domain.checks import refuse_if_forgotten
from jobs.domain.clients.updates import client_actor
from jobs.domain.papers.sending import record_opening
from jobs.domain.workshop.accounts import token_hash
from jobs.log.commands import CommandContext, lock_log
from jobs.models import Client, ClientLink, Commission, PaperSending, Person

SENT = "sent:"
"""Prefix of the mail that a link came with, where the mail carries a paper: ``sent:17``."""


@transaction.atomic
def make_link(person: Person, *, commission: str, now: datetime) -> tuple[ClientLink, str]:
    """Make a link to hand over, with its token, shown once; the earlier such link no longer opens."""
    return _make(lookups.commission(commission), by=person.id, mail="", now=now)


@transaction.atomic
def make_mailed_link(commission: Commission, *, mail: str, by: str, now: datetime) -> tuple[ClientLink, str]:
    """Make the link that a mail carries, with its token; nothing but that mail holds the token.

    A mail of unknown fate is repeated with a second link. Both open until they are revoked.
    """
    return _make(commission, by=by, mail=mail, now=now)


def _make(commission: Commission, *, by: str, mail: str, now: datetime) -> tuple[ClientLink, str]:
    lock_log()  # the lock serializes two makers of a link and keeps an erasure out meanwhile
    refuse_if_forgotten(Client.objects.get(id=commission.client_id))
    number = commission.number
    if not mail:
        ClientLink.objects.filter(commission=number, revoked_at=None, mail="").update(revoked_at=now)
    token = secrets.token_urlsafe(32)
    link = ClientLink.objects.create(
        commission=number, sha256=token_hash(token), made_at=now, made_by=by, mail=mail
    )
    return link, token


def drop_unsent(link: ClientLink) -> None:
    """Delete the link of a mail that certainly did not go out."""
    ClientLink.objects.filter(id=link.id).exclude(mail="").delete()


def address_of(token: str) -> str:
    """Return the address that a token opens."""
    return f"{settings.PUBLIC_URL}/c/{token}/"


def link_of(commission: str) -> ClientLink | None:
    """Return the handed-over link that opens this commission's page now."""
    return ClientLink.objects.filter(commission=commission, revoked_at=None, mail="").first()


def links_of(commission: str) -> list[ClientLink]:
    """Return every link that opens this commission's page now, the newest first."""
    return list(ClientLink.objects.filter(commission=commission, revoked_at=None).order_by("-made_at", "-id"))


def link_views(commission: str) -> list[dict[str, Any]]:
    """Return the links that open this commission's page now, each with the paper whose mail carries it."""
    links = links_of(commission)
    keys = {link.id: int(link.mail.removeprefix(SENT)) for link in links if link.mail.startswith(SENT)}
    sent = PaperSending.objects.select_related("paper").in_bulk(set(keys.values()))
    found = []
    for link in links:
        sending = sent.get(keys.get(link.id, 0))
        about = {"paper": sending.paper.number, "kind": sending.paper.kind} if sending else {}
        opened = sending.opened_at if sending else None
        found.append(
            {"id": link.id, "mail": link.mail, "made_at": link.made_at, "opened_at": opened, **about}
        )
    return found


def sending_of_link(link: ClientLink) -> int | None:
    """Return the key of the sending whose mail carries this link; None for any other link."""
    return int(link.mail.removeprefix(SENT)) if link.mail.startswith(SENT) else None


def note_opening(link: ClientLink, *, now: datetime) -> None:
    """Keep that the client opened the page by the link of a mail with a paper."""
    sending = sending_of_link(link)
    if sending is not None:
        by = client_actor(lookups.commission(link.commission).client)
        record_opening(CommandContext(by=by, at=now, now=now), sending=sending)


def is_unopened(link: ClientLink) -> bool:
    """Return whether a link came with a paper and nobody has opened the page by it."""
    key = sending_of_link(link)
    return key is not None and PaperSending.objects.filter(id=key, opened_at=None).exists()


def find_link(token: str) -> ClientLink | None:
    """Return the valid link of this token."""
    return ClientLink.objects.filter(sha256=token_hash(token), revoked_at=None).first()


def revoke_links(*, commission: str, now: datetime, link: int | None = None) -> None:
    """Revoke one link, or all of a commission."""
    number = lookups.commission(commission).number
    live = ClientLink.objects.filter(commission=number, revoked_at=None)
    if link is not None:
        live = live.filter(id=link)
    if not live.update(revoked_at=now):
        named = {"field": "commission", "value": number} if link is None else {"field": "link", "value": link}
        raise NotFound("there is no link to this commission", **named)
