"""The walls of the shop: their links, made and taken away. For the owner."""

from django import forms
from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from jobs.domain.workshop.accounts import make_token
from jobs.models import Token
from jobs.models.people import WALLS, Scope
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.forms import PageForm, text_field


class WallForm(PageForm):
    label = text_field(
        gettext_lazy("Which screen"),
        help_text=gettext_lazy("Such as: tablet at the bench"),
        autocomplete="off",
    )
    names = forms.BooleanField(label=gettext_lazy("Show the clients' names"), required=False)


@owner
@require_http_methods(["GET", "POST"])
def walls(request: SignedIn) -> HttpResponse:
    """List the walls; a POST makes a link and shows it, only this once."""
    form, link = WallForm(request.POST or None), ""
    if request.method == "POST":
        link = form.carry_out(lambda asked: _make(request, **asked)) or ""
    tokens = Token.objects.filter(scope__in=WALLS, revoked_at=None).order_by("id")
    answer = render(
        request, "web/workshop/walls.html", {"form": form, "tokens": tokens, "link": link}, status=form.status
    )
    if link:
        answer["Cache-Control"] = "no-store"
    return answer


def _make(request: SignedIn, *, label: str, names: bool) -> str:
    scope = Scope.WALL_WITH_NAMES if names else Scope.WALL
    _token, text = make_token(request.user, label=label, now=timezone.now(), scope=scope)
    return settings.PUBLIC_URL + reverse("web:wall", args=[text])
