"""Making and revoking a calendar link in one's own settings."""

import re

from django.test import Client

from jobs.models import Person, Token
from tests.web.pages import Pages


def test_a_link_is_shown_once_opens_the_feed_and_is_revoked(owner: Person):
    pages = Pages(owner)
    made = pages.send("/me/", {"label": "shelf tablet"}, to="/me/calendar/#calendar", status=200)
    (path,) = re.findall(r"http://localhost:8000(/calendar/[^<\s]+\.ics)", made.text)
    assert "no-store" in made.answer.headers["Cache-Control"]
    assert "shelf tablet" in pages.get("/me/").words and path not in pages.get("/me/").text
    anybody = Client()
    assert anybody.get(path).content.startswith(b"BEGIN:VCALENDAR")
    pages.post(f"/tokens/{Token.objects.get().id}/revoke/", {}, 302)
    assert anybody.get(path).status_code == 404
    assert "shelf tablet" not in pages.get("/me/").words


def test_a_link_needs_a_name(owner: Person):
    page = Pages(owner).send("/me/", {"label": ""}, to="/me/calendar/#calendar", status=422)
    assert page.errors["label"] and not Token.objects.exists()
