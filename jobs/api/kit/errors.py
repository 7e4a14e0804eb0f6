"""Every refusal as a problem document (RFC 9457): one handler for the shop's refusals and all others."""

import logging
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, TypeVar
from urllib.parse import urljoin

from django.conf import settings
from django.core.exceptions import PermissionDenied, RequestDataTooBig, SuspiciousOperation
from django.db import OperationalError
from django.http import Http404, UnreadablePostError
from django.urls import reverse
from rest_framework import exceptions
from rest_framework.response import Response
from rest_framework.views import set_rollback

from calcs.kit.errors import CalcError
from jobs.core import disk_space
from jobs.core.errors import ShopError
from jobs.log import database_damage

log = logging.getLogger(__name__)

MEDIA_TYPE = "application/problem+json"
LONGEST_VALUE = 200
RETRY_AFTER_S = "2"
NOT_IN_BODY = ("Idempotency-Key", "Device-Time", "cursor")
RENAMED = {"at": "occurred_at"}
"""Names of the core and the names that a request has for them."""


@dataclass(frozen=True, kw_only=True)
class Kind:
    """One kind of problem: its code, status and title never vary."""

    code: str
    status: int
    title: str


Refusal = TypeVar("Refusal", ShopError, CalcError)
OF_HTTP = (
    Kind(code="malformed", status=400, title="The request cannot be read."),
    Kind(code="unauthenticated", status=401, title="Sign in or send a token first."),
    Kind(code="no-such-method", status=405, title="This method is not for this address."),
    Kind(code="not-acceptable", status=406, title="The answer cannot be given in the form asked for."),
    Kind(code="length-required", status=411, title="A body needs its length announced."),
    Kind(code="too-large", status=413, title="The body is too large."),
    Kind(code="not-json", status=415, title="Bodies are application/json."),
    Kind(code="too-many-requests", status=429, title="Too many requests; wait and try again."),
    Kind(code="internal", status=500, title="Something went wrong here; nothing was changed."),
    Kind(code="busy", status=503, title="The shop is busy; try again."),
    Kind(code="database-damaged", status=503, title="The database is damaged; its health says what to do."),
    Kind(code="disk-full", status=507, title="The disk of the shop is full; nothing was changed."),
    Kind(code="being-prepared", status=503, title="This is being prepared."),
)


def _first_line(doc: str | None) -> str:
    return (doc or "").strip().splitlines()[0]


def _subclasses(base: type[Refusal]) -> Iterable[type[Refusal]]:
    for one in base.__subclasses__():
        yield one
        yield from _subclasses(one)


def kinds() -> dict[str, Kind]:
    """Return every kind of problem by its code."""
    shop = [Kind(code=e.code, status=e.status, title=_first_line(e.__doc__)) for e in _subclasses(ShopError)]
    of_calcs: list[type[CalcError]] = [CalcError, *_subclasses(CalcError)]
    calc = [Kind(code=e.code, status=422, title=_first_line(e.__doc__)) for e in of_calcs]
    return {kind.code: kind for kind in (*OF_HTTP, *shop, *calc)}


class BodyTooLarge(RequestDataTooBig):
    """A body longer than this address takes."""

    def __init__(self, most: int) -> None:
        self.most = most
        super().__init__()


class LengthRequired(exceptions.APIException):
    """A body sent in chunks: the server in front of us does not say where it ends."""

    status_code, default_code = 411, "length-required"
    default_detail = "send Content-Length; bodies in chunks are not read"


class BeingPrepared(exceptions.APIException):
    """Not now, but soon."""

    status_code, default_code = 503, "being-prepared"


class BadShape(exceptions.APIException):
    """A body or query that is not of the asked shape, with every field at fault."""

    status_code, default_code = 422, "invalid"

    def __init__(self, errors: list[dict[str, Any]]) -> None:
        super().__init__(errors[0]["detail"])
        self.errors = errors


def problem_handler(raised: Exception, context: dict[str, Any]) -> Response:
    """Return the problem document of an exception that a view raised."""
    set_rollback()
    code, detail, errors, extra = _problem_of(raised, context)
    kind = kinds()[code]
    body = {
        "type": urljoin(settings.PUBLIC_URL, reverse("api:problem", args=[code])),
        "title": kind.title,
        "status": kind.status,
        "detail": detail or kind.title,
        "instance": context["request"].get_full_path(),
        "code": code,
        "errors": errors,
    }
    headers = _headers(raised)
    if kind.status == 503:
        headers.setdefault("Retry-After", RETRY_AFTER_S)
    return Response({**plain(extra), **body}, status=kind.status, headers=headers, content_type=MEDIA_TYPE)


Problem = tuple[str, str, list[dict[str, Any]], dict[str, Any]]


def _problem_of(raised: Exception, context: dict[str, Any]) -> Problem:
    match raised:
        case ShopError():
            return raised.code, raised.detail, _of_field(raised, context), raised.extra
        case CalcError():
            return raised.code, raised.detail, _of_field(raised, context), {}
        case BadShape():
            return "invalid", str(raised.detail), raised.errors, {}
        case exceptions.APIException() | Http404() | PermissionDenied():
            return _of_framework(raised), str(getattr(raised, "detail", "")), [], {}
        case BodyTooLarge():
            return "too-large", f"up to {raised.most} bytes are taken", [], {}
        case RequestDataTooBig():
            return "too-large", f"up to {settings.DATA_UPLOAD_MAX_MEMORY_SIZE} bytes are taken", [], {}
        case SuspiciousOperation() | UnreadablePostError():
            return "malformed", "", [], {}
        case _ if disk_space.is_full(raised):
            return "disk-full", "", [], {}
        case _ if database_damage.is_damage(raised):
            database_damage.note(str(raised))
            return "database-damaged", "", [], {}
        case OperationalError():
            log.warning("the database did not answer", exc_info=raised)
            return "busy", "", [], {}
    log.error("unexpected failure of %s", context["request"].path, exc_info=raised)
    return "internal", "", [], {}


def _of_framework(raised: Exception) -> str:
    by_class: list[tuple[type[Exception] | tuple[type[Exception], ...], str]] = [
        ((exceptions.NotAuthenticated, exceptions.AuthenticationFailed), "unauthenticated"),
        ((exceptions.PermissionDenied, PermissionDenied), "forbidden"),
        ((exceptions.NotFound, Http404), "not-found"),
        (exceptions.MethodNotAllowed, "no-such-method"),
        (exceptions.NotAcceptable, "not-acceptable"),
        (exceptions.UnsupportedMediaType, "not-json"),
        (exceptions.Throttled, "too-many-requests"),
        (BeingPrepared, "being-prepared"),
        (LengthRequired, "length-required"),
        (exceptions.ParseError, "malformed"),
    ]
    return next((code for classes, code in by_class if isinstance(raised, classes)), "internal")


def _of_field(raised: ShopError | CalcError, context: dict[str, Any]) -> list[dict[str, Any]]:
    if not raised.field:
        return []
    name = RENAMED.get(raised.field, raised.field)
    error = {"detail": raised.detail, "field": name, "value": plain(raised.value), "allowed": raised.allowed}
    if context["request"].method in ("POST", "PUT", "PATCH") and not _of_address(name, context):
        error["pointer"] = pointer(_steps(name))
    return [error]


def _steps(name: str) -> list[str]:
    """Return the path of a field in the body: ``rows[1].width``, counted from one, gives rows, 0, width."""
    counted = re.sub(r"\[(\d+)\]", lambda place: f".{int(place[1]) - 1}", name)
    return counted.replace(".", "/").split("/")


def _of_address(name: str, context: dict[str, Any]) -> bool:
    """Return whether the field is part of a header, the path or the query, not of the body."""
    return name in NOT_IN_BODY or name in (context.get("kwargs") or {})


def pointer(steps: Iterable[object]) -> str:
    """Return a JSON Pointer into the body (RFC 6901), as a fragment."""
    return "#" + "".join(f"/{str(step).replace('~', '~0').replace('/', '~1')}" for step in steps)


def plain(value: Any) -> Any:
    """Return a refused value fit for a document: well-formed, and no longer than a person would read."""
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, int):
        return value if abs(value) <= 2**53 else str(value)[:LONGEST_VALUE]
    if isinstance(value, dict):
        return {str(plain(str(name))): plain(inner) for name, inner in list(value.items())[:LONGEST_VALUE]}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value[:LONGEST_VALUE]]
    text = value if isinstance(value, str) else str(value)
    if not text.isprintable():
        text = ascii(text)[1:-1]
    return text if len(text) <= LONGEST_VALUE else text[:LONGEST_VALUE] + "…"


def _headers(raised: Exception) -> dict[str, str]:
    headers = {}
    if header := getattr(raised, "auth_header", None):
        headers["WWW-Authenticate"] = header
    if wait := getattr(raised, "wait", None):
        headers["Retry-After"] = str(int(wait))
    return headers
