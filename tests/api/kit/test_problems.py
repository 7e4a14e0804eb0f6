"""The problem documents themselves (RFC 9457, section 3)."""

import pytest
from django.db import OperationalError
from django.test import RequestFactory
from rest_framework.exceptions import Throttled

from jobs.api.clients.views import ClientsView
from jobs.api.kit.errors import kinds, pointer
from jobs.api.stages.wait_views import BenchView
from tests.api.client import Api, refused


def test_members_of_a_problem(api):
    answer = api.get("commissions/2026-999/?unit=mm")
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert answer.data == {
        "type": "http://localhost:8000/api/v1/problems/not-found/",
        "title": "There is no such thing here.",
        "status": 404,
        "detail": "there is no such commission",
        "instance": "/api/v1/commissions/2026-999/?unit=mm",
        "code": "not-found",
        "errors": [
            {
                "detail": "there is no such commission",
                "field": "commission",
                "value": "2026-999",
                "allowed": "",
            }
        ],
    }


@pytest.mark.parametrize("code", sorted(kinds()))
def test_every_type_leads_to_its_description(nobody, code):
    kind = kinds()[code]
    shown = nobody.get(f"problems/{code}/").data
    assert (shown["code"], shown["status"], shown["title"]) == (code, kind.status, kind.title)
    assert shown["title"].endswith(".")
    assert shown["type"] == f"http://localhost:8000/api/v1/problems/{code}/"


def test_a_type_that_is_none(nobody):
    refused(nobody.get("problems/bad-mood/"), 404, "not-found", "code")


@pytest.mark.parametrize("method", ["GET", "POST", "DELETE", "PUT", "OPTIONS"])
def test_addresses_that_lead_nowhere(nobody, method):
    for address in ("nowhere/", "commissions/2026-001/nowhere/", "clients/abc/", "", "/api/v2/clients/"):
        refused(nobody.ask(method, address), 404, "not-found")


def test_a_forgotten_slash_is_told(nobody):
    answer = nobody.ask("POST", "clients")
    assert refused(answer, 404, "not-found", "address")["allowed"] == "/api/v1/clients/"


def test_a_method_that_is_not_for_this_address(api):
    answer = api.delete("clients/")
    refused(answer, 405, "no-such-method")
    assert answer.headers["Allow"] == "GET, HEAD, POST"


def test_a_form_that_is_not_given_or_taken(api):
    refused(api.get("clients/", Accept="text/csv"), 406, "not-acceptable")
    answer = api.http.post("/api/v1/clients/", {"name": "Orla"}, headers=api.headers)
    assert (answer.status_code, answer.json()["code"]) == (415, "not-json")


def test_a_body_in_chunks_is_refused_rather_than_read_as_empty(api):
    """Django reads as many bytes as Content-Length says; see the docs of WSGIRequest's limited stream."""
    request = RequestFactory().post("/api/v1/clients/", b"{}", "application/json", headers=api.headers)
    request.META["CONTENT_LENGTH"] = ""
    request.META["HTTP_TRANSFER_ENCODING"] = "chunked"
    answer = ClientsView.as_view()(request)
    assert (answer.status_code, answer.data["code"]) == (411, "length-required")


def raises(error: Exception, monkeypatch: pytest.MonkeyPatch) -> None:
    def get(self, request):
        raise error

    monkeypatch.setattr(BenchView, "get", get)


def test_an_unexpected_failure_shows_no_internals(api, monkeypatch, caplog):
    raises(RuntimeError("secret path /srv/shop"), monkeypatch)
    answer = api.get("bench/")
    refused(answer, 500, "internal")
    assert "secret" not in answer.content.decode()
    assert "RuntimeError" in caplog.text
    assert "secret" not in caplog.text, "the words of an exception may be somebody's"


def test_a_busy_database_asks_to_come_again(api, monkeypatch):
    raises(OperationalError("database is locked"), monkeypatch)
    answer = api.get("bench/")
    refused(answer, 503, "busy")
    assert answer.headers["Retry-After"] == "2"


def test_too_many_requests_say_when_to_come_again(api, monkeypatch):
    raises(Throttled(wait=30), monkeypatch)
    answer = api.http.get("/api/v1/bench/", headers=api.headers)
    assert (answer.status_code, answer.json()["code"], answer.headers["Retry-After"]) == (
        429, "too-many-requests", "30",
    )  # fmt: skip


# RFC 6901, section 5 and 6: the examples of pointers and of their URI fragments.
@pytest.mark.parametrize(
    "steps, fragment",
    [((), "#"), (("foo", 0), "#/foo/0"), (("",), "#/"), (("a/b",), "#/a~1b"), (("m~n",), "#/m~0n")],
)
def test_pointers_are_written_as_the_standard_has_them(steps, fragment):
    assert pointer(steps) == fragment


def test_a_long_or_odd_value_is_shown_shortened(api: Api):
    answer = api.post("clients/", {"name": "Orla", "email": "‮" + "e" * 250})
    value = refused(answer, 422, "invalid", "email")["value"]
    assert value.startswith("\\u202e") and value.endswith("…")
    assert len(value) <= 201
