"""Reminder preferences, and the addresses of pushes."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from calcs.kit.errors import CalcError
from jobs.core.errors import Invalid, ShopError
from jobs.domain.reminders.channels import push
from jobs.domain.reminders.kinds import KINDS
from jobs.domain.reminders.kinds.base import Preference, ReminderKind
from jobs.domain.reminders.preferences import (
    MOST_REPEATS,
    set_wishes,
    wishes_of,
)
from jobs.models import Person
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.forms import PageForm, WholeField, sentence, text_field
from jobs.web.kit.stored_translations import translate_stored

COLUMNS = {
    "by_mail": gettext_lazy("Mail"),
    "by_push": gettext_lazy("Push"),
    "lead_min": gettext_lazy("Early"),
    "repeat_min": gettext_lazy("Again"),
    "may_wake": gettext_lazy("Wakes"),
}


class WishForm(PageForm):
    """A row for each kind of reminder; a setting that a kind lacks has no field."""

    def __init__(self, person: Person, data: Any = None) -> None:
        self.wishes = wishes_of(person)
        self.refused_kind = ""
        super().__init__(data, initial=_initial(self.wishes))
        for key in self.wishes:
            title = translate_stored(KINDS[key].title)
            for name, column in COLUMNS.items():
                if (field := _field(KINDS[key], name, f"{title}: {column.lower()}")) is not None:
                    self.fields[_name(key, name)] = field

    @property
    def rows(self) -> list[dict[str, Any]]:
        return [
            {
                "label": translate_stored(KINDS[kind].title),
                "cells": [
                    (column, self[_name(kind, name)] if _name(kind, name) in self.fields else None)
                    for name, column in COLUMNS.items()
                ],
                "errors": [e for n in COLUMNS for e in self.errors.get(_name(kind, n), [])],
            }
            for kind in self.wishes
        ]

    def changed(self, asked: dict[str, Any]) -> dict[str, dict[str, Any]]:
        """Return by kind the preferences that differ from the stored ones."""
        found: dict[str, dict[str, Any]] = {}
        for kind, wish in self.wishes.items():
            for name in COLUMNS:
                value, present = asked.get(_name(kind, name)), vars(wish)[name]
                if _name(kind, name) in asked and (value or 0) != present:
                    found.setdefault(kind, {})[name] = type(present)(value or 0)
        return found

    def refuse(self, refused: ShopError | CalcError) -> None:
        self.refused_kind = getattr(refused, "extra", {}).get("kind", "")
        super().refuse(refused)

    def field_of(self, name: str) -> str:
        return _name(self.refused_kind, name)


def _name(kind: str, name: str) -> str:
    return f"{kind.replace(' ', '-')}-{name}"


def _initial(wishes: dict[str, Preference]) -> dict[str, Any]:
    return {_name(kind, n): value or "" for kind, wish in wishes.items() for n, value in vars(wish).items()}


def _field(kind: ReminderKind, name: str, label: str) -> forms.Field | None:
    if (
        name == "lead_min" and not kind.with_lead
        or name == "repeat_min" and kind.at_once
        or name == "may_wake" and kind.always_wakes
    ):  # fmt: skip
        return None
    if name.endswith("_min"):
        named = {"aria-label": _("%(label)s, minutes") % {"label": label}}
        typed = forms.TextInput({"inputmode": "numeric", "placeholder": "–", **named})
        return WholeField(label=label, required=False, widget=typed)
    return forms.BooleanField(label=label, required=False, widget=forms.CheckboxInput({"aria-label": label}))


class PushForm(PageForm):
    label = text_field(
        gettext_lazy("What it is called"), help_text=gettext_lazy("Such as: my phone"), autocomplete="off"
    )
    url = text_field(
        gettext_lazy("Address"),
        help_text=gettext_lazy("The address your push service gives. It is kept secret and not shown again."),
        autocomplete="off", inputmode="url", spellcheck="false",
    )  # fmt: skip


@worker
@require_http_methods(["GET", "POST"])
def wishes(request: SignedIn) -> HttpResponse:
    form = WishForm(request.user, request.POST or None)
    if request.method == "POST":

        def act(asked: dict[str, Any]) -> bool:
            if changed := form.changed(asked):
                set_wishes(request.user, changed)
            return True

        if form.carry_out(act):
            messages.success(request, _("Saved."))
            return redirect("web:wishes")
    return _page(request, form=form, status=form.status)


@worker
@sensitive_post_parameters("url")
@require_POST
def add_push(request: SignedIn) -> HttpResponse:
    form = PushForm(request.POST)
    added = form.carry_out(lambda asked: push.add_address(request.user, **asked))
    if added is None:
        return _page(request, push_form=form, status=form.status)
    messages.success(request, _("%(label)s is added. Try it out.") % {"label": added.label})
    return redirect("web:wishes")


@worker
@require_POST
def remove_push(request: SignedIn, address: int) -> HttpResponse:
    push.remove_address(request.user, address=address)
    messages.success(request, _("The address is taken away."))
    return redirect("web:wishes")


@worker
@require_POST
def test_push(request: SignedIn) -> HttpResponse:
    """Push to all addresses now, and show the result."""
    try:
        push.try_out(request.user)
    except Invalid as refused:
        messages.error(request, sentence(refused))
    else:
        messages.success(request, _("A test has been pushed. If it does not arrive, look at the address."))
    return redirect("web:wishes")


def _page(request: SignedIn, *, status: int = 200, **parts: Any) -> HttpResponse:
    context = {
        "form": WishForm(request.user),
        "push_form": PushForm(),
        "columns": [(title, name.endswith("_min")) for name, title in COLUMNS.items()],
        "addresses": [
            {"row": one, "scheme": push.scheme_of(one.url)}
            for one in request.user.push_addresses.order_by("id")
        ],
        "most_repeats": MOST_REPEATS,
        **parts,
    }
    return render(request, "web/workshop/wishes.html", context, status=status)
