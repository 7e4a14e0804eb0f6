"""Commissions, their moves, price and payments over the API."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.api.client import head, refused
from tests.shop_fixtures import TOP

LINES = [
    {"description": "Top as drawn", "unit_price": "1000", "tax_pct": "10"},
    {
        "description": "Delivery",
        "unit_price": "80.50",
        "quantity": "1.5",
        "unit_code": "HUR",
        "tax_category": "E",
    },
]


def test_an_order_is_taken_down_and_gets_its_number(api, client_id):
    asked = {
        "client": client_id,
        "title": "Desk by the window",
        "promise_on": "2026-12-01",
        "notes": "ring twice",
    }
    made = api.post("commissions/", asked)
    assert made.status_code == 201
    shown = made.data["commission"]
    assert made.headers["Location"] == f"/api/v1/commissions/{shown['number']}/"
    assert shown["step"] == "enquiry"
    assert (shown["title"], shown["notes"], shown["promise_on"]) == (
        "Desk by the window",
        "ring twice",
        "2026-12-01",
    )
    assert shown["client"]["name"] == "Orla Fenwick"


def test_an_enquiry_says_what_is_asked_for_and_the_budget_is_the_owners(api, maker_api, client_id):
    asked = {
        "client": client_id, "asks_for": "Oak desk with drawers", "budget": "1800.50",
        "wanted_on": "2027-02-01", "heard": "a neighbour",
    }  # fmt: skip
    shown = api.post("commissions/", asked).data["commission"]
    assert shown["title"] == "Oak desk with drawers" and shown["promise_on"] is None
    assert {name: shown[name] for name in asked if name != "client"} == {
        name: value for name, value in asked.items() if name != "client"
    }
    assert shown["budget_currency"] == "USD"
    at = f"commissions/{shown['number']}/"
    assert maker_api.get(at).data["budget"] is None and maker_api.get(at).data["heard"] == "a neighbour"
    changed = api.patch(at, {"budget": None, "asks_for": "Oak desk"}).data["commission"]
    assert (changed["budget"], changed["asks_for"], changed["heard"]) == (None, "Oak desk", "a neighbour")
    refused(api.patch(at, {"budget": "10000001"}), 422, "invalid", "budget")
    refused(api.post("commissions/", {"client": client_id}), 422, "invalid", "title")


def test_changes_keep_what_is_not_given(api, number):
    changed = api.patch(f"commissions/{number}/", {"promise_on": "2027-01-15"}).data["commission"]
    assert (changed["title"], changed["promise_on"]) == ("Desk by the window", "2027-01-15")
    assert api.patch(f"commissions/{number}/", {"promise_on": None}).data["commission"]["promise_on"] is None


def test_commissions_are_listed_by_step_and_client(api, client_id, number):
    other = api.post("clients/", {"name": "Tam Okafor"}).data["client"]["id"]
    second = api.post("commissions/", {"client": other, "title": "Counter"}).data["commission"]["number"]
    api.post(f"commissions/{second}/move/", {"to": "quoted"})

    def listed(query: str) -> list[str]:
        return [row["number"] for row in api.get(f"commissions/{query}").data["results"]]

    assert listed("") == [second, number]
    assert listed("?step=quoted") == [second]
    api.post(f"commissions/{second}/move/", {"to": "declined", "reason": "too dear"})
    assert (listed("?live=true"), listed("?live=false")) == ([number], [second])
    assert listed(f"?client={client_id}") == [number]
    error = refused(api.get("commissions/?step=lost"), 422, "invalid", "step")
    assert "in the shop" in error["allowed"] and "pointer" not in error


def test_moves(api, number):
    assert api.get(f"commissions/{number}/").data["moves"] == ["quoted", "accepted", "declined", "cancelled"]
    api.put(f"commissions/{number}/price/", {"lines": LINES})
    api.patch(f"commissions/{number}/", {"promise_on": "2999-01-15"})
    accepted = api.post(f"commissions/{number}/move/", {"to": "accepted"}).data["commission"]
    assert accepted["step"] == "accepted"
    before = head()
    refused(api.post(f"commissions/{number}/move/", {"to": "quoted"}), 409, "wrong-state", "to")
    refused(api.post(f"commissions/{number}/move/", {"to": "delivered"}), 422, "invalid", "to")
    refused(api.post(f"commissions/{number}/move/", {"to": "cancelled"}), 422, "invalid", "reason")
    assert head() == before
    moved = api.post(f"commissions/{number}/move/", {"to": "cancelled", "reason": "house sold"}).data[
        "commission"
    ]
    assert (moved["step"], moved["reason"]) == ("cancelled", "house sold")


def test_an_order_without_a_quote_is_accepted_with_price_and_day_and_taken_back(api, number):
    at = f"commissions/{number}"
    answer = api.post(f"{at}/move/", {"to": "accepted"})
    refused(answer, 409, "not-yet", "price")
    assert answer.data["missing"] == ["price", "promise_on"]
    refused(api.post(f"{at}/accept/", {"price": "900"}), 409, "not-yet", "promise_on")
    refused(api.post(f"{at}/accept/", {"price": "-1", "promise_on": "2999-01-01"}), 422, "invalid", "price")
    agreed = {"lines": LINES, "promise_on": "2999-01-01", "deposit_pct": "50"}
    made = api.post(f"{at}/accept/", agreed).data["commission"]
    (deposit,) = made["money"]["deposit_invoiced"]  # half of 1220.75
    assert (made["step"], deposit["amount"]) == ("accepted", "610.38")
    answer = api.post(f"{at}/take-back/", {})
    refused(answer, 409, "wrong-state", "commission")
    (paper,) = made["papers"]
    assert answer.data["reasons"] == [f"invoice {paper['number']} is issued; credit it first"]
    api.post(f"papers/{paper['number']}/credit/", {"reason": "accepted by mistake"})
    assert api.post(f"{at}/take-back/", {"reason": "too early"}).data["commission"]["step"] == "enquiry"


def test_what_the_office_does_next_is_the_owners(api, maker_api, number):
    api.post(f"commissions/{number}/pieces/", TOP)
    write = [{"do": "Write the quote", "offer": "", "paper": ""}]
    assert api.get(f"commissions/{number}/").data["office"] == write
    assert api.get("commissions/").data["results"][0]["next"][0] == "Write the quote"
    assert [card["do"] for card in api.get("bench/").data["office"]] == ["Write the quote"]
    assert maker_api.get(f"commissions/{number}/").data["office"] == []
    assert maker_api.get("bench/").data["office"] == []
    assert "Write the quote" not in maker_api.get("commissions/").data["results"][0]["next"]


def test_a_price_is_added_up(api, number):
    # 1000.00 + 80.50 x 1.5 = 120.75; tax 10 % of 1000.00.
    price = api.put(f"commissions/{number}/price/", {"lines": LINES}).data["commission"]["money"]["price"]
    assert [line["amount"] for line in price["lines"]] == ["1000.00", "120.75"]
    assert (price["net"], price["tax"], price["total"]) == ("1120.75", "100.00", "1220.75")


def test_a_taxed_line_without_a_rate_takes_the_shops(api, number):
    api.patch("shop/", {"tax_pct": "19"})
    lines = [
        {"description": "Top", "unit_price": 100},
        {"description": "Fee", "unit_price": 1, "tax_category": "O"},
    ]
    price = api.put(f"commissions/{number}/price/", {"lines": lines}).data["commission"]["money"]["price"]
    assert [line["tax_pct"] for line in price["lines"]] == ["19.000", "0.000"]


@pytest.mark.parametrize(
    "line, pointer",
    [
        ({"unit_price": "-1"}, "#/lines/0/unit_price"),
        ({"unit_price": "1e400"}, "#/lines/0/unit_price"),
        ({"unit_price": "ten"}, "#/lines/0/unit_price"),
        ({"unit_price": "1.00001"}, "#/lines/0/unit_price"),
        ({"quantity": "0"}, "#/lines/0/quantity"),
        ({"unit_code": "XXX"}, "#/lines/0/unit_code"),
        ({"tax_pct": "101"}, "#/lines/0/tax_pct"),
        ({"tax_category": "Z", "tax_pct": "5"}, "#/lines/0/tax_pct"),
        ({"description": " "}, "#/lines/0/description"),
    ],
)
def test_a_line_that_cannot_be_is_pointed_at(api, number, line, pointer):
    before = head()
    answer = api.put(f"commissions/{number}/price/", {"lines": [{**LINES[0], **line}]})
    error = refused(answer, 422, "invalid") or answer.data["errors"][0]
    assert error["pointer"] == pointer
    assert error["allowed"]
    assert head() == before


def test_payments(api, number):
    api.put(f"commissions/{number}/price/", {"lines": LINES})
    api.post(f"commissions/{number}/accept/", {"promise_on": "2999-01-15"})
    made = api.post(
        f"commissions/{number}/payments/", {"amount": "500.00", "what": "deposit", "note": "cash"}
    )
    assert made.status_code == 201
    assert made.headers["Location"] == f"/api/v1/commissions/{number}/"
    money = made.data["commission"]["money"]
    assert (money["summary"]["paid"], money["payments"][0]["note"], money["summary"]["open"]) == (
        "500.00",
        "cash",
        "0.00",
    )
    before = head()
    refused(api.post(f"commissions/{number}/payments/", {"amount": "0"}), 422, "invalid", "amount")
    for wrong in ("1.005", "1e3", "1_000", "٣", "1,000"):
        refused(api.post(f"commissions/{number}/payments/", {"amount": wrong}), 422, "invalid", "amount")
    tomorrow = {"amount": "1", "received_on": "2999-01-01"}
    refused(api.post(f"commissions/{number}/payments/", tomorrow), 422, "invalid", "received_on")
    assert head() == before


def test_a_maker_sees_a_commission_without_its_money(api, maker_api, number):
    api.patch("shop/", {"price_per_board_foot": "14.50"})
    piece = api.post(f"commissions/{number}/pieces/", TOP).data["piece"]
    api.put(f"commissions/{number}/price/", {"lines": LINES})
    assert piece["computed"]["lumber"]["result"]["cost"]
    seen = maker_api.get(f"commissions/{number}/")
    assert seen.data["money"] is None
    (shown,) = seen.data["pieces"]
    assert "cost" not in shown["computed"]["lumber"]["result"]
    assert "price_per_bf" not in shown["computed"]["lumber"]["inputs"]
    assert not {s["key"] for s in shown["stages"]} & {"paid", "close"}
    assert {s["key"] for s in piece["stages"]} >= {"paid", "close"}


def test_what_happened_is_told_without_money_to_a_maker(api, maker_api, number):
    api.put(f"commissions/{number}/price/", {"lines": LINES})
    kinds = [e["kind"] for e in api.get(f"commissions/{number}/events/").data]
    assert kinds == ["commission_opened", "price_set"]
    (only,) = maker_api.get(f"commissions/{number}/events/").data
    assert (only["kind"], only["by"]) == ("commission_opened", "Ada Lindenau")


def test_an_order_of_somebody_unknown_is_refused(api, nobody):
    refused(api.post("commissions/", {"client": 1, "title": "Desk"}), 404, "not-found", "client")
    refused(api.get("commissions/2026-999/"), 404, "not-found", "commission")
    assert head() == 0


def test_lists_take_as_many_queries_however_long_they_are(api, client_id):
    def queries(address: str) -> int:
        with CaptureQueriesContext(connection) as seen:
            assert api.get(address).status_code == 200
        return len(seen)

    def another() -> None:
        made = api.post("commissions/", {"client": client_id, "title": "Desk"}).data["commission"]["number"]
        api.post(f"commissions/{made}/pieces/", TOP)

    another()
    before = [queries(address) for address in ("commissions/", "bench/", "waits/")]
    for _ in range(4):
        another()
    assert [queries(address) for address in ("commissions/", "bench/", "waits/")] == before
