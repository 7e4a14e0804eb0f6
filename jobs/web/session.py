"""Signing in and out."""

from django import forms
from django.contrib.auth import authenticate, login, logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from jobs.web.access import anyone, worker
from jobs.web.counting import count_key, counted, forget

MOST_FAILURES, WINDOW_S = 10, 15 * 60


class SignInForm(forms.Form):
    username = forms.CharField(
        label=gettext_lazy("Name"), max_length=60, widget=forms.TextInput({"autocomplete": "username"})
    )
    password = forms.CharField(
        label=gettext_lazy("Password"),
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
    wrong, status = _("Name and password are both needed."), 422
    if form.is_valid():
        wrong, status = _let_in(request, form.cleaned_data["username"], form.cleaned_data["password"])
        if not wrong:
            return redirect(_where_to(request, form.cleaned_data["next"]))
    return render(request, "web/sign_in.html", {"form": form, "wrong": wrong}, status=status)


def _let_in(request: HttpRequest, username: str, password: str) -> tuple[str, int]:
    """Sign somebody in; the reason and status where they stay out."""
    tries = _key(request, username)
    if counted(tries, WINDOW_S) > MOST_FAILURES:
        return _("Too many tries with this name from here. Wait %(minutes)s minutes.") % {
            "minutes": WINDOW_S // 60
        }, 429
    person = authenticate(request, username=username, password=password)
    if person is None:
        return _("This name and password do not belong together."), 422
    forget(tries)
    login(request, person)
    return "", 200


def _key(request: HttpRequest, username: str) -> str:
    return count_key("sign-in", request.META.get("REMOTE_ADDR", ""), username.strip().casefold())


def _where_to(request: HttpRequest, target: str) -> str:
    safe = url_has_allowed_host_and_scheme(target, {request.get_host()}, require_https=request.is_secure())
    return target if safe and target.startswith("/") else "/"


@worker
@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    logout(request)
    return redirect("web:sign-in")
