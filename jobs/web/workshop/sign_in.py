"""Sign in and out."""

from django import forms
from django.contrib.auth import login, logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from jobs.core.errors import TooMany
from jobs.core.rate_limit import address_of, count_key, forget, refuse_if_many
from jobs.domain.workshop import passwords
from jobs.domain.workshop.demo import is_demo
from jobs.models import Person
from jobs.web.kit.access import anyone, worker
from jobs.web.workshop import first_run, known_devices
from jobs.web.workshop.demo import IN_DEMO

MOST_FAILURES, MOST_OF_ADDRESS, WINDOW_S = 10, 40, 15 * 60
"""Tries with one name from one address or on one known device, and of one address with any names."""


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
        return render(request, "web/workshop/sign_in.html", {"form": form})
    form = SignInForm(request.POST, label_suffix="")
    if not form.is_valid():
        return _stay_out(request, form, _("Name and password are both needed."), 422)
    try:
        person = _let_in(request, form.cleaned_data["username"], form.cleaned_data["password"])
    except TooMany as refused:
        answer = _stay_out(request, form, refused.detail, refused.status)
        answer["Retry-After"] = str(int(refused.wait))
        return answer
    if person is None:
        return _stay_out(request, form, _("This name and password do not belong together."), 422)
    answer = redirect(_where_to(request, form.cleaned_data["next"], person))
    known_devices.remember(answer, person)
    return answer


def _stay_out(request: HttpRequest, form: SignInForm, wrong: str, status: int) -> HttpResponse:
    return render(request, "web/workshop/sign_in.html", {"form": form, "wrong": wrong}, status=status)


def _let_in(request: HttpRequest, username: str, password: str) -> Person | None:
    """Sign somebody in, or return None where name and password are wrong.

    A device on which this person signed in before has a separate count of failures. So nobody else's tries
    lock its owner out, even from the same address.
    """
    device, address = known_devices.of(request, username), address_of(request)
    tries = count_key("sign-in", *((device,) if device else (address, username.strip().casefold())))
    minutes = {"minutes": WINDOW_S // 60}
    words = _("Too many tries with this name from here. Wait %(minutes)s minutes.") % minutes
    refuse_if_many(tries, most=MOST_FAILURES, window_s=WINDOW_S, words=words)
    if not device:
        everyones = count_key("sign-in-address", address)
        refuse_if_many(everyones, most=MOST_OF_ADDRESS, window_s=WINDOW_S, words=words)
    person = passwords.sign_in(username, password, known=bool(device))
    if person is not None:
        forget(tries)
        login(request, person)
        if is_demo():
            request.session[IN_DEMO] = True
    return person


def _where_to(request: HttpRequest, target: str, person: Person) -> str:
    safe = url_has_allowed_host_and_scheme(target, {request.get_host()}, require_https=request.is_secure())
    if safe and target.startswith("/") and target != "/":
        return target
    return reverse("web:first-run") if first_run.is_new(person) else "/"


@worker
@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    logout(request)
    return redirect("web:sign-in")
