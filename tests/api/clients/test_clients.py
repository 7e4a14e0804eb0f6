"""Clients over the API."""

import pytest

from jobs.domain.clients.commands import LONGEST, OWNERS
from tests.api.client import head, refused


def test_a_client_is_added_shown_and_changed(api):
    made = api.post("clients/", {"name": "Orla Fenwick", "phone": "555 0142"})
    assert made.status_code == 201
    client = made.data["client"]
    assert (client["name"], client["phone"], client["email"]) == ("Orla Fenwick", "555 0142", "")
    assert made.headers["Location"] == f"/api/v1/clients/{client['id']}/"
    changed = api.patch(f"clients/{client['id']}/", {"email": "orla@fenwick.example"})
    assert changed.status_code == 200
    assert changed.data["client"]["name"] == "Orla Fenwick"
    assert api.get(f"clients/{client['id']}/").data == changed.data["client"]


def test_what_was_seen_before_a_change_is_refused_as_stale(api, client_id):
    seen = api.get(f"clients/{client_id}/").data["version"]
    api.patch(f"clients/{client_id}/", {"phone": "555 0199"})
    before = head()
    answer = api.patch(f"clients/{client_id}/", {"phone": "555 0100", "seen_version": seen})
    assert refused(answer, 409, "stale", "seen_version")["value"] == seen
    assert head() == before


def test_every_field_at_fault_is_named_with_what_is_allowed(api):
    answer = api.post("clients/", {"name": "", "phone": "5" * 61, "colour": "green"})
    assert refused(answer, 422, "invalid", "colour")["allowed"].startswith("an object of ")
    answer = api.post("clients/", {"name": "", "phone": "5" * 61})
    assert {(e["pointer"], e["allowed"]) for e in answer.data["errors"]} == {
        ("#/name", "text of up to 200 characters"),
        ("#/phone", "text of up to 60 characters"),
    }


def test_what_invoices_are_to_name_is_checked(api, client_id):
    right = {"buyer_reference": "991-03730-19", "endpoint": "0204:991-03730-19"}
    assert right.items() <= api.patch(f"clients/{client_id}/", right).data["client"].items()
    assert api.patch(f"clients/{client_id}/", {"buyer_reference": "order 04-2026-11"}).status_code == 200
    wrong = api.patch(f"clients/{client_id}/", {"buyer_reference": "991-03730-91"})
    refused(wrong, 422, "invalid", "buyer_reference")
    refused(api.patch(f"clients/{client_id}/", {"endpoint": "1234:5"}), 422, "invalid", "endpoint")


def test_a_client_that_is_not_there(api):
    for address in ("clients/1/", "clients/999999999999999999/"):
        refused(api.get(address), 404, "not-found", "client")
    refused(api.get("clients/9999999999999999999/"), 404, "not-found")


def test_pages_of_clients_neither_repeat_nor_miss_one(api):
    names = [f"Client {n}" for n in range(5)]
    for name in names:
        api.post("clients/", {"name": name})
    first = api.get("clients/?limit=2")
    assert first.data["previous"] is None
    api.post("clients/", {"name": "Came meanwhile"})
    seen, address = [c["name"] for c in first.data["results"]], first.data["next"]
    while address:
        page = api.get(address.removeprefix("http://testserver"))
        seen += [c["name"] for c in page.data["results"]]
        address = page.data["next"]
    assert seen == names[::-1]


def test_a_page_size_or_cursor_that_cannot_be(api):
    assert (
        refused(api.get("clients/?limit=0"), 422, "invalid", "limit")["allowed"] == "a whole number, 1 to 100"
    )
    refused(api.get("clients/?limit="), 422, "invalid", "limit")
    for cursor in ("nonsense", "cD1hYmM=", "bz0tMQ=="):  # p=abc, o=-1
        refused(api.get(f"clients/?cursor={cursor}"), 422, "invalid", "cursor")
    refused(api.get("clients/?page=2"), 422, "invalid", "page")


OTHER = {
    "email": "other@fenwick.example", "country": "AT", "endpoint": "other@fenwick.example",
    "exempt_from": "2026-02-01", "exempt_until": "2027-01-31",
}  # fmt: skip


@pytest.mark.parametrize("field", LONGEST)
def test_who_may_change_what_of_a_client(api, maker_api, client_id, field):
    """The client's link goes to this e-mail address, so only the owner may change it."""
    given = {field: OTHER.get(field, "other")}
    before = head()
    if field in OWNERS:
        refused(maker_api.patch(f"clients/{client_id}/", given), 403, "forbidden", field)
        assert head() == before
    else:
        assert maker_api.patch(f"clients/{client_id}/", given).status_code == 200
    assert api.patch(f"clients/{client_id}/", given).data["client"][field] == given[field]
