"""Signing in and out."""

import hashlib
import logging

from django import forms
from django.contrib.auth import authenticate, login, logout
from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from jobs.web.access import anyone, worker

MOST_FAILURES, WINDOW_S = 10, 15 * 60
log = logging.getLogger(__name__)


class SignInForm(forms.Form):
    username = forms.CharField(
        label="Name", max_length=60, widget=forms.TextInput({"autocomplete": "username"})
    )
    password = forms.CharField(
        label="Password",
        max_length=400,
        strip=False,
        widget=forms.PasswordInput({"autocomplete": "current-password"}),
    )
    next = forms.CharField(required=False, widget=forms.HiddenInput)


@anyone
@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    if request.method == "GET":
        form = SignInForm(initial={"next": request.GET.get("next", "")}, label_suffix="")
        return render(request, "web/sign_in.html", {"form": form})
    form = SignInForm(request.POST, label_suffix="")
    wrong, status = "Name and password are both needed.", 422
    if form.is_valid():
        wrong, status = _let_in(request, form.cleaned_data["username"], form.cleaned_data["password"])
        if not wrong:
            return redirect(_where_to(request, form.cleaned_data["next"]))
    return render(request, "web/sign_in.html", {"form": form, "wrong": wrong}, status=status)


def _let_in(request: HttpRequest, username: str, password: str) -> tuple[str, int]:
    """Sign somebody in; the reason and status where they stay out."""
    tries = _key(request, username)
    if _counted(tries) > MOST_FAILURES:
        return f"Too many tries with this name from here. Wait {WINDOW_S // 60} minutes.", 429
    person = authenticate(request, username=username, password=password)
    if person is None:
        return "This name and password do not belong together.", 422
    _forget(tries)
    login(request, person)
    return "", 200


def _key(request: HttpRequest, username: str) -> str:
    who = f"{request.META.get('REMOTE_ADDR', '')} {username.strip().casefold()}"
    return "sign-in:" + hashlib.sha256(who.encode("utf-8")).hexdigest()


def _counted(key: str) -> int:
    """Count a try before it is made, so that many at once are counted too; a success takes the count back."""
    try:
        cache.add(key, 0, WINDOW_S)
        return cache.incr(key)
    except Exception:  # the counter's server is away: people must still be able to sign in
        log.exception("sign-in tries cannot be counted")
        return 0


def _forget(key: str) -> None:
    try:
        cache.delete(key)
    except Exception:
        log.exception("sign-in tries cannot be forgotten")


def _where_to(request: HttpRequest, target: str) -> str:
    safe = url_has_allowed_host_and_scheme(target, {request.get_host()}, require_https=request.is_secure())
    return target if safe else "/"


@worker
@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    logout(request)
    return redirect("web:sign-in")
