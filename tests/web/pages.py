"""Somebody at the pages: opens one, fills in its form, sends it."""

import html
import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

from django.test import Client

from jobs.models import LogHead, Person

DIALOG = "#dialog"
"""The address of a form that only closes a dialog of its page."""


@dataclass
class Form:
    """A form as it stands on a page: its target, and what each field holds."""

    action: str
    key: str = ""
    typed: dict[str, str] = field(default_factory=dict)
    buttons: list[str] = field(default_factory=list)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self.apart: dict[str, Form] = {}
        """What stands away from its form and names it, by the form's id."""
        self.here = Form("")
        self.select = self.area = ""

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        given = dict(attrs)
        if tag == "form":
            self.forms.append(Form(given.get("action") or "", key=given.get("id") or ""))
            if given.get("method") == "dialog":
                self.forms[-1].action = DIALOG
        if "form" in given:
            self.here = self.apart.setdefault(given["form"], Form(""))
        elif tag != "option" and self.forms:
            self.here = self.forms[-1]
        elif not self.forms and not self.apart:
            return
        form, name = self.here, given.get("name", "")
        if tag == "select":
            self.select = name
        elif tag == "option" and self.select and ("selected" in given or self.select not in form.typed):
            form.typed[self.select] = given.get("value", "")
        elif tag == "textarea":
            self.area = name
            form.typed[name] = ""
        elif tag == "input" and name:
            if given.get("type") in ("radio", "checkbox"):
                form.typed.setdefault(name, "")
                if "checked" in given:
                    form.typed[name] = given.get("value", "on")
            else:
                form.typed[name] = given.get("value") or ""

    def handle_data(self, data: str) -> None:
        if self.area:
            self.here.typed[self.area] += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self.select = ""
        if tag == "textarea":
            typed = self.here.typed
            typed[self.area] = typed[self.area].removeprefix("\n")  # HTML ignores the first line break
            self.area = ""


def one_line(tag: re.Match[str]) -> str:
    """Return a tag on one line, its attributes with a space between."""
    return " ".join(tag[0].split()).replace(" >", ">")


class Page:
    """An answer with what a test asks of it; content of ``template`` elements does not count."""

    def __init__(self, answer: Any) -> None:
        self.answer = answer
        self.status = answer.status_code
        content = re.sub(r"<template.*?</template>", "", answer.content.decode("utf-8"), flags=re.S)
        self.text = html.unescape(re.sub(r"<[a-z/][^<>]*>", one_line, content))
        reader = _Reader()
        reader.feed(content if "html" in answer.headers.get("Content-Type", "") else "")
        for form in reader.forms:
            form.typed |= reader.apart.get(form.key, Form("")).typed
        self.forms = [f for f in reader.forms if not f.action.endswith(("/sign-out/", DIALOG))]

    @property
    def words(self) -> str:
        """Return the text of the page: no tags, single spaces."""
        return " ".join(re.sub(r"<[^>]+>", " ", self.text).split())

    @property
    def errors(self) -> dict[str, str]:
        """Return the errors beside each field."""
        found = re.findall(r'<ul class="errorlist" id="id_([^"]+)_error">(.*?)</ul>', self.text, re.S)
        return {name: " ".join(re.sub(r"<[^>]+>", " ", told).split()) for name, told in found}

    def form(self, to: str = "") -> Form:
        """Return the form of the page, or the one whose address has this end."""
        found = [f for f in self.forms if f.action.endswith(to)]
        assert found, f"no form to {to!r} among {[f.action for f in self.forms]}"
        return found[0]


class Pages:
    """A browser without a screen, signed in as this person."""

    def __init__(self, person: Person | None = None) -> None:
        self.http = Client(raise_request_exception=False)
        self.person = person
        if person is not None:
            self.http.force_login(person)

    def get(self, path: str, status: int = 200, **headers: str) -> Page:
        page = Page(self.http.get(path, headers=headers or None))
        assert page.status == status, f"{path}: {page.status} {page.words[:400]}"
        return page

    def send(
        self, path: str, typed: dict[str, str] | None = None, *, to: str = "", status: int = 302
    ) -> Page:
        """Open a page, type into its form, send it."""
        return self.send_form(path, self.get(path).form(to), typed, status=status)

    def send_form(
        self, path: str, form: Form, typed: dict[str, str] | None = None, *, status: int = 302, **headers: str
    ) -> Page:
        unknown = set(typed or {}) - set(form.typed)
        assert not unknown, f"the form has no field {unknown}; it has {sorted(form.typed)}"
        return self.post(form.action or path, {**form.typed, **(typed or {})}, status, **headers)

    def post(self, path: str, data: dict[str, str], status: int = 302, **headers: str) -> Page:
        page = Page(self.http.post(path, data, headers=headers or None))
        assert page.status == status, f"{path}: {page.status} {page.words[:400]}"
        return page


def by_hand(pages: Pages, path: str, typed: dict[str, str] | None = None) -> Page:
    """Send the form of a bill by its button "Print it": the paper is handed over."""
    return pages.post(path, {**pages.get(path).form().typed, **(typed or {}), "do": "hand"})


def head() -> int:
    """Return the number of events in the log."""
    row = LogHead.objects.filter(id=1).first()
    return row.seq if row else 0
