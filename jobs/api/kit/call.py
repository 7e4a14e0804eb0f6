"""The circumstances of a command, read from its request: who, when, which key, which units."""

import hashlib
import json
import re
from typing import Any

from django.utils import timezone
from rest_framework.request import Request

from jobs.core import clock_skew
from jobs.core.errors import Invalid
from jobs.core.units import Units
from jobs.log.commands import CommandContext
from jobs.models import Person

_QUOTED = re.compile(r'"((?:[\x20\x21\x23-\x5b\x5d-\x7e]|\\["\\])*)"')
_BARE = re.compile(r"[\x21\x23-\x7e]+")


def call_of(request: Request, asked: dict[str, Any]) -> CommandContext:
    """Return the circumstances of a command; take ``occurred_at`` and ``seen_version`` out of ``asked``."""
    now = timezone.now()
    return CommandContext(
        by=request.user.id,
        at=asked.pop("occurred_at", now),
        now=now,
        key=key_of(request),
        fingerprint=fingerprint_of(request),
        seen=asked.pop("seen_version", None),
    )


def key_of(request: Request) -> str:
    """Return the Idempotency-Key: a quoted string (RFC 8941), or a bare token."""
    text = request.headers.get("Idempotency-Key")
    if text is None:
        return ""
    text = text.strip()
    if quoted := _QUOTED.fullmatch(text):
        key = re.sub(r"\\(.)", r"\1", quoted[1])
    else:
        key = text if _BARE.fullmatch(text) else ""
    if not key:
        raise Invalid(
            "this key cannot be read",
            field="Idempotency-Key",
            value=text[:40],
            allowed='1 to 200 printable characters, as "a quoted string" or a bare token',
        )
    return key


def fingerprint_of(request: Request) -> str:
    """Return a hash that equal requests share: of method, address with query, and body."""
    body = json.dumps(request.data, sort_keys=True, default=str)
    text = "\n".join((str(request.method), request.get_full_path(), body))
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def units_of(person: Person, given: dict[str, str]) -> Units:
    """Return the units of bare numbers and of text: as the request says, else as the person chose."""
    return Units(
        length=given.get("unit", person.unit),
        temperature=given.get("temperature_unit", person.temperature_unit),
    )


def clock_notices(request: Request) -> list[str]:
    """Return notices where the device's clock, sent in ``Device-Time``, differs from the shop's."""
    return clock_skew.clock_notices(request.headers.get("Device-Time"), timezone.now())
