"""From a request to a command context: who, when, which key."""

import hashlib
import json
from datetime import datetime

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest
from django.utils import timezone
from django_htmx.middleware import HtmxDetails

from jobs.core.clock_skew import moment
from jobs.core.units import Units
from jobs.log.commands import CommandContext
from jobs.models import Person

LONGEST_WHOLE = 19
"""Digits that a number of the tables may have, and one."""
NOT_ASKED = {"csrfmiddlewaretoken", "form_key", "form_at", "form_seen"}
"""Fields left out of the fingerprint: sent again with other values, the request is the same."""


class SignedIn(HttpRequest):
    """A request as views for people of the shop get it: somebody has signed in."""

    user: Person
    htmx: HtmxDetails


def units_of(person: Person) -> Units:
    """Return the units in which this person writes a bare number."""
    return Units(length=person.unit, temperature=person.temperature_unit)


def call_of(
    request: SignedIn,
    *,
    key: str = "",
    seen: int | None = None,
    at: datetime | None = None,
    part: str = "",
) -> CommandContext:
    """Return the context of a command that a form sends; ``part`` tells the commands of one form apart."""
    now = timezone.now()
    return CommandContext(
        by=request.user.id,
        at=at or pressed_at(request) or now,
        now=now,
        key=f"{key}.{part}" if key and part else key,
        fingerprint=_fingerprint(request),
        seen=seen,
    )


def posted_call(request: SignedIn) -> CommandContext:
    """Return the context of a command whose page has no form class: key and version as they were sent."""
    seen = request.POST.get("form_seen", "")
    whole = seen.isascii() and seen.isdigit() and len(seen) < LONGEST_WHOLE
    return call_of(request, key=request.POST.get("form_key", ""), seen=int(seen) if whole else None)


def pressed_at(request: HttpRequest) -> datetime | None:
    """Return when a form that waited on a phone was submitted, or None for others."""
    told = request.POST.get("form_at", "")
    return moment(told, field="form_at") if told else None


def _sum(file: "UploadedFile[bytes]") -> str:
    """Return the hash of an uploaded file and rewind it."""
    file.seek(0)
    found = hashlib.file_digest(file, "sha256").hexdigest()
    file.seek(0)
    return found


def _fingerprint(request: HttpRequest) -> str:
    asked = sorted((name, values) for name, values in request.POST.lists() if name not in NOT_ASKED)
    files = [(n, file) for n, file in sorted(request.FILES.items()) if isinstance(file, UploadedFile)]
    sent = [(name, file.name, _sum(file)) for name, file in files]
    text = json.dumps([request.method, request.path, asked, *sent])
    return hashlib.sha256(text.encode("utf-8")).hexdigest()
