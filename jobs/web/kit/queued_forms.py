"""Queued forms: a phone keeps them without signal and sends them later; the answers are for its script.

A queued form names its author, so that nobody sends another's under their own name. Any other answer (a lost
line, a captive portal, a restarting server) does not count: the phone sends the form again.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone

from calcs.kit.errors import CalcError
from jobs.core.clock_skew import clock_notices
from jobs.core.errors import AlreadyDone, Forbidden, GateShut, NotFound, ShopError, Stale
from jobs.log.commands import CommandResult
from jobs.models import Event
from jobs.web.kit.forms import PageForm, sentence

BY, LATER, CLOCK = "Tap-By", "Tap-Later", "Device-Time"
"""Headers: the form's author; that its page is no longer open; the phone's own clock."""

OF_THEIR_OWN = ("board:", "supply:")
"""Streams with their own version; a form names them as it names a piece."""


def is_queued(request: HttpRequest) -> bool:
    return BY in request.headers


def shows_result(request: HttpRequest) -> bool:
    """Return whether a page that shows the result follows."""
    return LATER not in request.headers


def answer(request: HttpRequest, act: Callable[[], HttpResponse]) -> HttpResponse:
    """Act for the author of the form; a refusal becomes an answer that the phone can keep."""
    if request.headers[BY] != request.user.id:
        return not_theirs("This was tapped by somebody else, who has to sign in.")
    try:
        clock_notices(request.headers.get(CLOCK), timezone.now())  # refuse first
        return act()
    except ShopError as error:
        return refused(error)
    except PermissionDenied as denied:
        return refused(Forbidden(str(denied)))
    except Http404:
        return refused(NotFound())


def accepted(request: HttpRequest, done: CommandResult, says: str, where: str) -> JsonResponse:
    """Return the answer of success: message, next page, new version of each piece, board or supply."""
    notices = [*done.notices, *clock_notices(request.headers.get(CLOCK), timezone.now())]
    told = {"says": says, "notices": notices, "where": where, "versions": versions(done.events)}
    return JsonResponse(told)


def versions(events: Iterable[Event]) -> dict[str, int]:
    """Return the version that each piece, board or supply has by these events."""
    found: dict[str, int] = {}
    for event in events:
        thing = event.stream if event.stream.startswith(OF_THEIR_OWN) else event.data.get("piece")
        if thing:
            found[thing] = max(event.seq, found.get(thing, 0))
    return found


def not_theirs(says: str) -> JsonResponse:
    """Return 401 where nobody or somebody else is signed in: the form stays in the queue."""
    return JsonResponse({"says": says, "code": "sign-in"}, status=401)


def refused(error: ShopError | CalcError, says: str = "") -> JsonResponse:
    """Return the refusal; one already done says by whom and when, a stale one the current version."""
    told: dict[str, Any] = {"says": says or sentence(error), "code": error.code}
    extra: Mapping[str, Any] = getattr(error, "extra", {})
    if isinstance(error, AlreadyDone):
        told |= {name: extra[name] for name in ("by", "at") if name in extra}
    if isinstance(error, Stale):
        told["version"] = error.allowed
    return JsonResponse(told, status=getattr(error, "status", 422))


def refused_form(form: PageForm) -> JsonResponse:
    """Return the refusal of a form in the words shown on it."""
    words = [
        f"{form.fields[name].label}: {error}" if name in form.fields else str(error)
        for name, errors in form.errors.items()
        for error in errors
    ]
    if isinstance(form.refusal, GateShut):
        words = [f"{s['title']}: {s['value']}. Allowed: {s['allowed']}." for s in form.refusal.extra["shut"]]
    if form.refusal:
        return refused(form.refusal, " ".join(words))
    return JsonResponse({"says": " ".join(words), "code": "invalid"}, status=form.status)
