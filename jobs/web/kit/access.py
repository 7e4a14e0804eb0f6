"""Who may see a page: every view has one of these decorators. Refusals outside forms get an error page."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from csp.decorators import csp_exempt
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_cache_control
from django.utils.translation import gettext as _
from django_htmx.middleware import HtmxDetails

from jobs.core.errors import ShopError, TooMany
from jobs.models import Person
from jobs.web.kit import queued_forms

View = Callable[..., HttpResponse]
"""A view; the decorators below give it a request of somebody who has signed in."""
ANYONE, WORKER, OWNER = "anyone", "worker", "owner"


def anyone(view: View) -> View:
    """Return the view open to people who have not signed in."""
    return _guarded(view, ANYONE)


def worker(view: View) -> View:
    """Return the view open to everybody who works in the shop."""
    return _guarded(view, WORKER)


def owner(view: View) -> View:
    """Return the view open to the owner: money, people, settings, the log."""
    return _guarded(view, OWNER)


def shows_pdf(view: View) -> View:
    """Return the view open to a browser's PDF viewer: it counts as an object, which pages do not allow."""
    exempt: View = csp_exempt()(view)  # type: ignore[assignment]  # its types leave out the rest of the address
    return exempt


def _guarded(view: View, access: str) -> View:
    @wraps(view)
    def run(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if access != ANYONE and not request.user.is_authenticated:
            return _to_sign_in(request)
        if access == OWNER and not (isinstance(request.user, Person) and request.user.is_owner):
            raise PermissionDenied(_("This page is for the owner of the shop."))
        if any("\x00" in part for part in kwargs.values() if isinstance(part, str)):
            raise Http404  # PostgreSQL refuses to search for a NUL
        if queued_forms.is_queued(request):
            return queued_forms.answer(request, lambda: view(request, *args, **kwargs))
        try:
            response = view(request, *args, **kwargs)
        except ShopError as refused:
            response = render(request, "web/refused.html", {"refused": refused}, status=refused.status)
            if isinstance(refused, TooMany):
                response["Retry-After"] = str(int(refused.wait))
        if "immutable" not in response.get("Cache-Control", ""):
            patch_cache_control(response, private=True, no_cache=True)
        return response

    run.access = access  # type: ignore[attr-defined]
    return run


def _to_sign_in(request: HttpRequest) -> HttpResponse:
    """Return a redirect to sign-in; htmx gets it as a header, a queued form as a 401 answer."""
    if queued_forms.is_queued(request):
        return queued_forms.not_theirs(_("Sign in first."))
    htmx: HtmxDetails = request.htmx  # type: ignore[attr-defined]  # the middleware puts it there
    if htmx:
        answer = HttpResponse(status=204)
        answer["HX-Redirect"] = redirect_to_login(htmx.current_url_abs_path or "/").url
        return answer
    return redirect_to_login(request.get_full_path() if request.method == "GET" else "/")
