"""An unknown member is refused by name, wherever it stands: in a body, within it, in an address."""

import pytest

from tests.api.client import head, refused
from tests.api.kit.test_roles import Door, doors

ANY_QUERY = {"api:health", "api:health-slash", "api:schema", "api:docs"}
"""Monitors add parameters that defeat caches; a library serves the schema."""
OF_API = [d for d in doors() if d.name.startswith("api:") and d.name not in ANY_QUERY]


@pytest.mark.parametrize("door", OF_API, ids=lambda d: d.short)
def test_no_address_takes_a_member_of_the_query_that_it_does_not_know(api, door: Door):
    body = {} if door.method in ("POST", "PUT", "PATCH") else None
    before = head()
    answer = api.ask(door.method, f"{door.path}?no_such=1", body)
    assert answer.status_code in (404, 422) and head() == before
    if answer.status_code == 422:
        assert answer.data["errors"][0]["field"] in ("no_such", "kind", "year", "syntax")


def test_what_is_there_does_not_take_one_either(api, number, piece, client_id):
    there = (f"commissions/{number}/", f"pieces/{piece['number']}/", f"clients/{client_id}/", "sheets/")
    for path in there:
        assert api.get(path).status_code == 200
        error = refused(api.get(f"{path}?sort=name"), 422, "invalid", "sort")
        assert error["value"] == "name" and "pointer" not in error


def test_members_of_members_are_named_with_where_they_stand(api, number):
    line = {"description": "Top", "quantity": "1", "unit_price": "100.00", "colour": "green"}
    answer = api.put(f"commissions/{number}/price/", {"lines": [line]})
    error = refused(answer, 422, "invalid", "lines.0.colour")
    assert (error["pointer"], error["value"]) == ("#/lines/0/colour", "green")


def test_what_takes_no_body_refuses_one(api):
    refused(api.post("me/push/test/", {"address": "x"}), 422, "invalid", "address")
    made = api.post("tokens/", {"label": "order script"}).data["token"]
    refused(api.ask("DELETE", f"tokens/{made['id']}/", {"why": "x"}), 422, "invalid", "why")
    assert api.delete(f"tokens/{made['id']}/").status_code == 200
