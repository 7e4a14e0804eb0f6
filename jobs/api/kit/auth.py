"""The caller, known by a token in the Authorization header or by the session of the pages."""

from dataclasses import dataclass
from datetime import timedelta

from django.utils import timezone
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from jobs.domain.workshop.accounts import find_token, note_use
from jobs.models import Person, Token
from jobs.models.people import OF_ADDRESSES, Scope

USE_NOTED_EVERY = timedelta(minutes=1)


@dataclass(frozen=True, kw_only=True)
class Sensor:
    """A device with its token; no person."""

    source: str
    is_authenticated: bool = True


class TokenAuthentication(BaseAuthentication):
    """``Authorization: Bearer <token>``; only the token's hash is stored."""

    def authenticate(self, request: Request) -> tuple[Person | Sensor, Token] | None:
        scheme, _, text = request.META.get("HTTP_AUTHORIZATION", "").partition(" ")
        if scheme.lower() != "bearer":
            return None
        token = find_token(text.strip())
        if token is None or token.scope in OF_ADDRESSES:
            raise AuthenticationFailed("this token is not known here, was revoked, or its person has left")
        note_use(token, now=timezone.now(), every=USE_NOTED_EVERY)
        if token.scope == Scope.READINGS:
            return Sensor(source=f"sensor-{token.sha256[:12]}"), token
        return token.person, token

    def authenticate_header(self, request: Request) -> str:
        return 'Bearer realm="shop"'
