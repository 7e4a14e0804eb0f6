"""Taps: forms that a phone keeps until there is signal and sends by itself, and answers it can read.

A tap says by whom it was made, so that nobody sends another's under their own name. An answer that is not
of this kind (a lost line, a captive portal, a server that restarts) is no answer: the tap is sent again.
"""

from collections.abc import Callable, Mapping
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone

from calcs.kit.errors import CalcError
from jobs.core.clock_skew import clock_notices
from jobs.core.errors import AlreadyDone, Forbidden, GateShut, NotFound, ShopError, Stale
from jobs.log.commands import CommandResult
from jobs.web.kit.forms import PageForm, sentence

BY, LATER, CLOCK = "Tap-By", "Tap-Later", "Device-Time"
"""Headers: who made it; that nobody looks at the page it was made on any more; the phone's own clock."""

OF_THEIR_OWN = ("board:", "supply:")
"""Streams of what has a version of its own; a form names it as the piece that it is about."""


def is_queued(request: HttpRequest) -> bool:
    return BY in request.headers


def shows_result(request: HttpRequest) -> bool:
    """Whether a page follows that shows what was done."""
    return LATER not in request.headers


def answer(request: HttpRequest, act: Callable[[], HttpResponse]) -> HttpResponse:
    """Act for whoever made the tap; a refusal is told in words that the phone can keep."""
    if request.headers[BY] != request.user.id:
        return not_theirs("This was tapped by somebody else, who has to sign in.")
    try:
        clock_notices(request.headers.get(CLOCK), timezone.now())  # unreadable: before anything is done
        return act()
    except ShopError as error:
        return refused(error)
    except PermissionDenied as denied:
        return refused(Forbidden(str(denied)))
    except Http404:
        return refused(NotFound())


def accepted(request: HttpRequest, done: CommandResult, says: str, where: str) -> JsonResponse:
    """It is done: what to say, where to go, and the version each piece, board or supply has by it."""
    versions: dict[str, int] = {}
    for event in done.events:
        thing = event.stream if event.stream.startswith(OF_THEIR_OWN) else event.data.get("piece")
        if thing:
            versions[thing] = max(event.seq, versions.get(thing, 0))
    notices = [*done.notices, *clock_notices(request.headers.get(CLOCK), timezone.now())]
    return JsonResponse({"says": says, "notices": notices, "where": where, "versions": versions})


def not_theirs(says: str) -> JsonResponse:
    """Nobody is signed in, or somebody else: the tap stays where it is."""
    return JsonResponse({"says": says, "code": "sign-in"}, status=401)


def refused(error: ShopError | CalcError, says: str = "") -> JsonResponse:
    """It is refused, and why. What is done already says by whom and when; what changed, its version now."""
    told: dict[str, Any] = {"says": says or sentence(error), "code": error.code}
    extra: Mapping[str, Any] = getattr(error, "extra", {})
    if isinstance(error, AlreadyDone):
        told |= {name: extra[name] for name in ("by", "at") if name in extra}
    if isinstance(error, Stale):
        told["version"] = error.allowed
    return JsonResponse(told, status=getattr(error, "status", 422))


def refused_form(form: PageForm) -> JsonResponse:
    """A form that was refused, in the words that stand on it."""
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
