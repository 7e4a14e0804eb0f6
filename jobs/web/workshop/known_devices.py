"""Devices on which somebody signed in before: a signed cookie names the person and gives no access."""

import secrets
from datetime import timedelta

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponseBase

from jobs.models import Person

COOKIE, SALT = "device", "known device"
KEPT = timedelta(days=400)
"""The longest time that browsers keep a cookie."""


def remember(answer: HttpResponseBase, person: Person) -> None:
    """Set the cookie that marks this device as one of this person's."""
    told = signing.dumps([person.id, secrets.token_hex(8)], salt=SALT)
    answer.set_cookie(
        COOKIE, told, max_age=KEPT, path=settings.LOGIN_URL, httponly=True, samesite="Lax",
        secure=settings.SESSION_COOKIE_SECURE,
    )  # fmt: skip


def of(request: HttpRequest, username: str) -> str:
    """Return the device's mark where this person signed in on it before, or an empty string."""
    try:
        person, mark = signing.loads(request.COOKIES.get(COOKIE, ""), salt=SALT, max_age=KEPT)
    except (signing.BadSignature, TypeError, ValueError):
        return ""
    same = Person.objects.filter(id=person, username=username.strip(), is_active=True).exists()
    return str(mark) if same else ""
