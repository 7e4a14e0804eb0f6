"""People, their own settings and their tokens."""

from typing import Any

from django import forms
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.core.errors import Invalid, NotFound, TooMany
from jobs.domain.workshop.accounts import add_person, change_person, make_token, revoke_token
from jobs.domain.workshop.passwords import is_present_password
from jobs.models import Person, Token
from jobs.models.people import OF_ADDRESSES, WALLS, LengthUnit, Role, Scope, TemperatureUnit
from jobs.web.kit.access import owner, worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.forms import PageForm, choice_field, text_field
from jobs.web.kit.stored_translations import told_choices

OWN = (
    "name", "email", "unit", "temperature_unit", "reminders_by_mail", "quiet_from", "quiet_to",
)  # fmt: skip


class OwnForm(PageForm):
    name = text_field(gettext_lazy("Name"), autocomplete="name")
    email = text_field(
        gettext_lazy("E-mail"),
        inputmode="email",
        autocomplete="email",
        help_text=gettext_lazy("Where reminders go."),
    )
    unit = choice_field(gettext_lazy("A bare number is a length in"), told_choices(LengthUnit.choices))
    temperature_unit = choice_field(gettext_lazy("Temperatures"), told_choices(TemperatureUnit.choices))
    reminders_by_mail = forms.BooleanField(label=gettext_lazy("Reminders by e-mail too"), required=False)
    quiet_from = text_field(
        gettext_lazy("Quiet from"), maxlength="5", help_text=gettext_lazy("Such as 21:30; empty: never quiet")
    )
    quiet_to = text_field(
        gettext_lazy("Quiet until"),
        maxlength="5",
        help_text=gettext_lazy("Mail and push wait until then. Rags and dust never wait."),
    )


class PersonForm(OwnForm):
    role = choice_field(gettext_lazy("Works here as"), told_choices(Role.choices))
    is_active = forms.BooleanField(label=gettext_lazy("May sign in"), required=False, initial=True)
    password = forms.CharField(
        label=gettext_lazy("New password"),
        required=False,
        strip=False,
        help_text=gettext_lazy("Empty: it stays as it is."),
        widget=forms.PasswordInput({"autocomplete": "new-password"}),
    )


class NewPersonForm(PersonForm):
    username = text_field(gettext_lazy("Signs in as"), autocomplete="off")
    field_order = ("username", "password")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["password"].label, self.fields["password"].help_text = (
            _("First password"),
            _("At least 8 characters"),
        )


class PasswordForm(PageForm):
    current = forms.CharField(
        label=gettext_lazy("Current password"),
        required=False,
        strip=False,
        widget=forms.PasswordInput({"autocomplete": "current-password"}),
    )
    password = forms.CharField(
        label=gettext_lazy("New password"),
        required=False,
        strip=False,
        widget=forms.PasswordInput({"autocomplete": "new-password"}),
    )


class TokenForm(PageForm):
    label = text_field(
        gettext_lazy("What the token is for"),
        help_text=gettext_lazy("Such as: script that enters orders"),
        autocomplete="off",
    )
    scope = choice_field(
        gettext_lazy("It opens"), told_choices(c for c in Scope.choices if c[0] not in OF_ADDRESSES)
    )


class CalendarForm(PageForm):
    label = text_field(
        gettext_lazy("Which calendar"), help_text=gettext_lazy("Such as: my phone"), autocomplete="off"
    )


@worker
@require_http_methods(["GET", "POST"])
def me(request: SignedIn) -> HttpResponse:
    form = OwnForm(request.POST or None, initial=_values(request.user))
    if (
        request.method == "POST"
        and form.carry_out(lambda asked: change_person(request.user, **asked)) is not None
    ):
        messages.success(request, _("Saved."))
        return redirect("web:me")
    return _my_page(request, form=form, status=form.status)


@worker
@sensitive_post_parameters()
@require_POST
def password(request: SignedIn) -> HttpResponse:
    form = PasswordForm(request.POST)

    def act(asked: dict[str, Any]) -> Person:
        if not is_present_password(request.user, asked["current"]):
            raise Invalid(_("this is not your current password"), field="current")
        if not asked["password"]:
            raise Invalid(_("a new password is needed"), field="password")
        return change_person(request.user, password=asked["password"])

    person = form.carry_out(act)
    if person is None:
        answer = _my_page(request, password_form=form, status=form.status)
        if isinstance(form.refusal, TooMany):
            answer["Retry-After"] = str(int(form.refusal.wait))
        return answer
    update_session_auth_hash(request, person)
    messages.success(
        request,
        _("The password is changed. Your other sign-ins, tokens and calendar links have ended."),
    )
    return redirect("web:me")


@worker
@require_POST
def new_token(request: SignedIn) -> HttpResponse:
    """Make a token and show its text; only this response ever shows it."""
    form = TokenForm(request.POST)
    made = form.carry_out(lambda asked: make_token(request.user, now=timezone.now(), **asked))
    if made is None:
        return _my_page(request, token_form=form, status=form.status)
    answer = _my_page(request, fresh_token=made[1], fresh_label=made[0].label)
    answer["Cache-Control"] = "no-store"
    return answer


@worker
@require_POST
def new_calendar(request: SignedIn) -> HttpResponse:
    """Make a calendar link and show it; only this response ever shows it."""
    form = CalendarForm(request.POST)
    now = timezone.now()
    made = form.carry_out(lambda asked: make_token(request.user, now=now, scope=Scope.CALENDAR, **asked))
    if made is None:
        return _my_page(request, calendar_form=form, status=form.status)
    link = settings.PUBLIC_URL + reverse("web:calendar-feed", args=[made[1]])
    answer = _my_page(request, fresh_link=link, fresh_label=made[0].label)
    answer["Cache-Control"] = "no-store"
    return answer


@worker
@require_POST
def revoke(request: SignedIn, token: int) -> HttpResponse:
    revoke_token(request.user, token=token, now=timezone.now())
    messages.success(request, _("It no longer opens anything."))
    found = Token.objects.get(id=token)
    if found.scope in WALLS:
        return redirect("web:walls")
    owner_of = found.person_id
    return redirect("web:me") if owner_of == request.user.id else redirect("web:person", owner_of)


@owner
@require_safe
def people(request: SignedIn) -> HttpResponse:
    return render(request, "web/workshop/people.html", {"people": Person.objects.order_by("username")})


@owner
@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def add(request: SignedIn) -> HttpResponse:
    form = NewPersonForm(request.POST or None, initial={"role": Role.MAKER, "reminders_by_mail": True})
    if request.method == "POST":
        person = form.carry_out(lambda asked: add_person(**asked))
        if person:
            messages.success(request, _("%(person)s can sign in.") % {"person": person})
            return redirect("web:people")
    return render(request, "web/workshop/person_form.html", {"form": form}, status=form.status)


@owner
@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def change(request: SignedIn, key: str) -> HttpResponse:
    person = Person.objects.filter(id=key).first()
    if person is None:
        raise NotFound(_("there is no such person"), field="person", value=key[:40])
    values = {**_values(person), "role": person.role, "is_active": person.is_active}
    form = PersonForm(request.POST or None, initial=values)
    if request.method == "POST" and form.carry_out(lambda asked: change_person(person, **asked)) is not None:
        if person.id == request.user.id:
            update_session_auth_hash(request, person)
        messages.success(request, _("Saved."))
        return redirect("web:people")
    person.refresh_from_db()
    context = {"form": form, "person": person, "tokens": _tokens(person)}
    return render(request, "web/workshop/person_form.html", context, status=form.status)


def _values(person: Person) -> dict[str, Any]:
    return {name: getattr(person, name) for name in OWN}


def _tokens(person: Person) -> list[Token]:
    return list(person.tokens.filter(revoked_at=None).order_by("id"))


def _my_page(request: SignedIn, *, status: int = 200, **parts: Any) -> HttpResponse:
    request.user.refresh_from_db()
    context = {
        "form": OwnForm(initial=_values(request.user)),
        "password_form": PasswordForm(),
        "token_form": TokenForm(),
        "calendar_form": CalendarForm(),
        "tokens": [t for t in _tokens(request.user) if t.scope not in OF_ADDRESSES],
        "links": [t for t in _tokens(request.user) if t.scope == Scope.CALENDAR],
        **parts,
    }
    return render(request, "web/workshop/me.html", context, status=status)
