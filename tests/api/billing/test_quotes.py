"""Quotes and change orders over the API: for the owner, with the difference where something came between."""

import base64
import hashlib
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from django.utils import timezone
from PIL import Image

from jobs.worker.outbox import dispatch_outbox
from tests.api.client import Api, head, refused
from tests.documents.reading import words
from tests.shop_fixtures import TOP

pytestmark = pytest.mark.django_db
RATES = {
    "hourly_rate": "60", "overhead_pct": "10", "profit_pct": "20", "profit_as": "margin", "tax_pct": "19",
    "lumber_prices": {"white oak": "8", "black walnut": "14.50"}, "finish_prices": {"oil-varnish": "31"},
}  # fmt: skip


@pytest.fixture
def piece(api: Api, number: str) -> str:
    assert api.patch("shop/", RATES).status_code == 200
    made = api.post(f"commissions/{number}/pieces/", {**TOP, "species": "white oak"})
    return str(made.data["piece"]["number"])


def a_quote(api: Api, number: str, piece: str, **more: Any) -> dict[str, Any]:
    asked = {"hours": {piece: "20"}, "alternatives": [{"piece": piece, "species": "black walnut"}], **more}
    made = api.post(f"commissions/{number}/quotes/", asked)
    assert made.status_code == 201, made.data
    offer: dict[str, Any] = made.data["offer"]
    return offer


def a_picture() -> str:
    made = BytesIO()
    Image.new("RGB", (64, 48), "white").save(made, "PNG")
    return base64.b64encode(made.getvalue()).decode()


def test_a_quote_from_the_first_word_to_the_deposit_invoice(api: Api, number: str, piece: str):
    offer = a_quote(api, number, piece)
    assert (offer["number"], offer["standing"], offer["valid_days"]) == (f"{number}-Q1", "draft", 30)
    assert offer["basis"]["pieces"][0]["hours"] == "20"
    assert float(offer["alternatives"][0]["difference"]) > 0
    at = f"quotes/{offer['number']}/"
    lines = [{"description": "Desk top", "unit_price": "2000"}]
    assert api.post(f"{at}revise/", {"lines": lines}).data["offer"]["total"] == "2380.00"
    issued = api.post(f"{at}issue/").data["offer"]
    assert (issued["standing"], issued["paper"]) == ("issued", "Q2026-0001")
    done = api.post(f"{at}accept/", {"version": 1, "chosen": [1], "name": "Orla"}, Idempotency_Key="k1")
    assert done.data["offer"]["standing"] == "accepted"
    again = api.post(f"{at}accept/", {"version": 1, "chosen": [1], "name": "Orla"}, Idempotency_Key="k1")
    assert again.data["replayed"] and again.data["events"] == done.data["events"]
    shown = api.get(f"commissions/{number}/").data
    assert shown["step"] == "accepted"
    assert [p["what"] for p in shown["papers"] if p["kind"] == "invoice"] == ["deposit"]
    assert "walnut" in shown["pieces"][0]["inputs"]["species"]
    refused(api.post(f"{at}accept/", {"version": 1}), 409, "already-done", "offer")
    change = {"words": "A bevel", "lines": [{"description": "Bevel", "unit_price": "100"}]}
    made = api.post(f"commissions/{number}/change-orders/", change).data["offer"]
    api.post(f"change-orders/{made['number']}/issue/")
    gone = api.post(f"change-orders/{made['number']}/decline/", {"version": 1, "reason": "no"})
    assert gone.data["offer"]["standing"] == "declined"
    refused(api.post(f"change-orders/{made['number']}/accept/", {"version": 1}), 409, "declined", "offer")
    assert [o["version"] for o in api.get(f"commissions/{number}/quotes/").data] == [1]
    refused(api.get(f"quotes/{made['number']}/"), 404, "not-found")


def test_the_answer_to_an_old_version_tells_what_is_otherwise(api: Api, number: str, piece: str):
    at = f"quotes/{a_quote(api, number, piece)['number']}/"
    api.post(f"{at}issue/")
    api.post(f"{at}revise/", {"lines": [{"description": "Desk top", "unit_price": "2000"}]})
    api.post(f"{at}issue/")
    before = head()
    answer = api.post(f"{at}accept/", {"version": 1})
    refused(answer, 409, "revised", "version")
    assert answer.data["difference"]["total_after"] == "2380.00"
    assert head() == before


def test_a_maker_sees_no_quote(api: Api, maker_api: Api, number: str, piece: str):
    at = f"quotes/{a_quote(api, number, piece)['number']}/"
    api.post(f"{at}issue/")
    refused(maker_api.get(at), 403, "forbidden")
    refused(maker_api.get("papers/Q2026-0001/"), 403, "forbidden", "paper")
    told = maker_api.get(f"commissions/{number}/events/").data
    assert not [e for e in told if e["kind"].startswith(("offer", "paper"))]


def test_what_a_price_is_made_of_and_what_is_missing_in_it(api: Api, number: str, piece: str):
    """Glue, biscuits and discs have prices set over the API; the finish has none for this sheet."""
    prices = {"glue_prices": {"pva": "9.50"}, "joinery_prices": {"biscuit 20": "0.08"}, "disc_price": "0.9"}
    told = api.patch("shop/", prices).data["shop"]
    assert {name: told[name] for name in prices} == prices
    basis = a_quote(api, number, piece)["basis"]["pieces"][0]
    whats = [line["what"] for line in basis["lines"]]
    assert whats[1:5] == ["pva", "biscuit 20", "sanding discs", "work"]
    for line in basis["lines"][:5]:
        by_hand = float(line["quantity"]) * float(line["unit_price"])
        assert float(line["amount"]) == pytest.approx(by_hand, abs=0.0051)
    assert len(basis["not_counted"]) == 1
    assert basis["not_counted"][0].startswith("finish not counted: no price of water-borne in the shop's")
    assert "left so: 0 of" in basis["hours_from"]


@pytest.mark.parametrize(
    "field, more",
    [
        ("alternatives.0.difference", {"alternatives": [{"piece": "x", "difference": "1e3"}]}),
        ("valid_days", {"valid_days": 0}),
        ("lines.0.unit_price", {"lines": [{"description": "x", "unit_price": "1.23456"}]}),
        ("hours", {"hours": {"no-piece": "2"}}),
        ("deposit_pct", {"deposit_pct": "101"}),
    ],
)
def test_a_bad_quote_is_refused(api: Api, number: str, piece: str, field: str, more: dict[str, Any]):
    before = head()
    answer = api.post(f"commissions/{number}/quotes/", more)
    assert answer.status_code == 422, answer.data
    assert field == "alternatives.0.difference" or answer.data["errors"][0]["field"] == field
    assert head() == before


def test_a_quote_is_sent_asked_about_declined_and_taken_up_again(api: Api, number: str, piece: str):
    at = f"quotes/{a_quote(api, number, piece)['number']}/"
    refused(api.post(f"{at}send/", {"to": "orla at fenwick"}), 422, "invalid", "to")
    refused(api.post(f"{at}follow-up/", {"words": "May we help?"}), 409, "not-yet", "offer")
    sent = api.post(f"{at}send/", {"to": "orla@fenwick.example"}).data["offer"]
    assert (sent["standing"], sent["paper"]) == ("issued", "Q2026-0001")
    (told,) = sent["sendings"]
    assert (told["to"], told["occasion"], told["mail"]) == ("orla@fenwick.example", "quote", "waiting")
    assert told["opened_at"] is None
    again = api.post(f"{at}follow-up/", {"words": "May we help?"}).data["offer"]["sendings"]
    assert [one["words"] for one in again] == ["", "May we help?"]
    gone = api.post(f"{at}decline/", {"version": 1, "because": "price"}).data["offer"]
    assert (gone["standing"], gone["because"]) == ("declined", "price")
    shown = api.get(f"commissions/{number}/").data
    assert (shown["step"], shown["quote"]["standing"]) == ("declined", "declined")
    (year,) = api.get("quotes/").data["years"]
    assert (year["declined"], year["hit_pct"]) == (1, 0)
    assert year["because"] == [{"because": "price", "count": 1}]
    refused(api.post(f"{at}let-go/", {"because": "time"}), 409, "already-done", "offer")
    assert api.post(f"commissions/{number}/take-up/").data["commission"]["step"] == "quoted"
    shown = api.get(at).data[0]
    assert (shown["standing"], shown["because"]) == ("issued", "")
    (out,) = api.get("quotes/").data["out"]
    assert (out["number"], out["do"], out["opened_at"]) == (shown["number"], "Wait for the client", None)
    refused(api.post(f"commissions/{number}/take-up/"), 409, "wrong-state", "commission")
    refused(api.post(f"{at}let-go/", {"because": "weather"}), 422, "invalid", "because")


def test_what_was_shown_is_kept_with_the_yes(api: Api, number: str, piece: str):
    """The hash is that of the very bytes that the paper's address serves."""
    offer = a_quote(api, number, piece, included="two coats", excluded="")
    at = f"quotes/{offer['number']}/"
    refused(api.get(f"{at}confirmation/"), 409, "not-yet", "offer")
    api.post(f"{at}issue/")
    dispatch_outbox(timezone.now())
    shown = hashlib.sha256(api.get("papers/Q2026-0001/pdf/").content).hexdigest()
    refused(api.post(f"{at}accept/", {"version": 1, "how": "winked"}), 422, "invalid", "how")
    scan = {"picture": a_picture(), "how": "signed", "name": "Orla", "chosen": [1]}
    kept = api.post(f"{at}accept/", {"version": 1, **scan}).data["offer"]
    assert (kept["included"], kept["excluded"]) == ("two coats", "")
    told = kept["acceptance"]
    assert (told["how"], told["paper"], told["sha256"]) == ("signed", "Q2026-0001", shown)
    assert told["total"] == kept["agreed"]["total"] != kept["total"], "with what was chosen"
    assert "black walnut" in told["chosen"][0]
    assert (told["drawings"][0]["number"], told["drawings"][0]["revision"]) == (f"{piece}-C", 1)
    assert api.get(f"pictures/{told['signed_copy']}/")["Content-Type"] == "image/jpeg"
    printed = words(api.get(f"{at}confirmation/").content)
    for part in ("Confirmation of quote Q2026-0001", "Orla", "by a signed copy", "black walnut", shown[:32]):
        assert part in printed, part
    assert f"{Decimal(told['total']):,}" in printed


def test_every_quote_begins_with_the_lists_of_the_shop(api: Api, number: str, piece: str):
    told = {"quote_included": ["two coats", "a card"], "quote_excluded": []}
    shop = api.patch("shop/", told).data["shop"]
    assert (shop["quote_included"], shop["quote_excluded"]) == (["two coats", "a card"], [])
    offer = a_quote(api, number, piece)
    assert (offer["included"], offer["excluded"]) == ("two coats\na card", "")
    revised = api.post(f"quotes/{offer['number']}/revise/", {"excluded": "legs"}).data["offer"]
    assert (revised["included"], revised["excluded"]) == ("two coats\na card", "legs")
    refused(api.patch("shop/", {"quote_excluded": ["x" * 181]}), 422, "invalid", "quote_excluded.0")
    refused(api.patch("shop/", {"quote_excluded": ["x"] * 21}), 422, "invalid", "quote_excluded")
    assert api.get("shop/").data["quote_excluded"] == []
