"""Undo: after a tap that has an inverse, the next page offers it for ten seconds.

The offer is kept in the session and shown once, by ``{% undo %}`` where the messages stand. It is a plain
form that sends the inverse command; without script it stays until the next page.
"""

import uuid
from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest

from jobs.log.commands import CommandResult
from jobs.web.kit import queued_forms

OFFER = "undo"


def undo_offer(
    request: HttpRequest,
    says: str,
    url: str,
    fields: Mapping[str, str],
    *,
    done: CommandResult | None = None,
    ask: Mapping[str, Any] | None = None,
) -> None:
    """Offer to undo on the next page: what was done in words, the inverse command's address and its fields.

    ``done`` is what the tap did: the form carries the version that the thing has by it, so that it does not
    undo what somebody else did since. ``ask`` is a question about it that one tap answers: its words, its
    address, the name and choices of its field. A tap that a phone sent later is not offered.
    """
    if not queued_forms.shows_result(request):
        return
    seen = max(queued_forms.versions(done.events).values(), default=None) if done else None
    given = {"form_key": uuid.uuid4().hex, **fields, **({"form_seen": str(seen)} if seen else {})}
    asked = {**ask, "form_key": uuid.uuid4().hex, "form_seen": str(seen or "")} if ask else None
    request.session[OFFER] = {"says": says, "url": url, "fields": given, "ask": asked}


def take_offer(request: HttpRequest) -> dict[str, Any] | None:
    """Return the offer and forget it; None where there is none."""
    offer: dict[str, Any] | None = request.session.pop(OFFER, None) if hasattr(request, "session") else None
    return offer
