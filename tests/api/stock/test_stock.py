"""Boards, supplies and equipment over the API."""

import pytest

from tests.api.client import head, refused
from tests.api.driving import Order
from tests.shop_fixtures import IN_ONE_GO

BOARD = {"species": "walnut", "thickness": "2", "width": "6 1/4", "length": 96, "price": "61.50"}


def test_a_board_from_the_rack_to_its_offcut(api, maker_api, accepted):
    made = api.post("boards/", BOARD)
    assert (made.status_code, made.headers["Location"]) == (201, "/api/v1/boards/1/")
    board = made.data["board"]
    assert (board["length"]["in"], board["board_feet"], board["price"]) == ('96"', "8.00", "61.50")
    assert "price" not in maker_api.get("boards/1/").data
    refused(maker_api.post("boards/", BOARD), 403, "forbidden", "by")
    read = api.post("boards/1/moisture/", {"pct": 8.5, "depth": "6 mm"}).data["board"]["moisture"]
    assert [(r["pct"], r["depth"]["mm"]) for r in read] == [("8.50", "6 mm")]
    void = f"boards/1/moisture/{read[0]['id']}/void/"
    assert api.post(void).data["board"]["moisture"][0]["voided"]
    refused(api.post(void), 409, "wrong-state", "reading")
    assert api.post("boards/1/reserve/", {"piece": accepted}).data["board"]["step"] == "reserved"
    assert [b["number"] for b in api.get(f"boards/?step=reserved&piece={accepted}").data["results"]] == [1]
    refused(api.post("boards/1/reserve/", {"piece": accepted}), 409, "wrong-state", "board")
    refused(api.post("boards/1/use/", {"seen_version": 1}), 409, "stale", "seen_version")
    assert api.post("boards/1/release/").data["board"]["piece"] == ""
    assert api.post("boards/1/use/", {"piece": accepted}).data["board"]["step"] == "used"
    refused(api.post("boards/1/offcut/", {"length": "97"}), 422, "invalid", "length")
    cut = api.post("boards/1/offcut/", {"length": "20"}, Idempotency_Key="cut-1")
    assert (cut.status_code, cut.data["board"]["cut_from"], cut.data["board"]["number"]) == (201, 1, 2)
    assert api.post("boards/1/offcut/", {"length": "20"}, Idempotency_Key="cut-1").data["replayed"]
    gone = api.post("boards/2/write-off/", {"reason": "split"}).data["board"]
    assert (gone["step"], gone["reason"]) == ("written off", "split")
    refused(api.get("boards/9/"), 404, "not-found", "board")


def test_a_board_is_changed_and_says_what_stays(api, maker_api, accepted):
    api.post("boards/", BOARD)
    version = api.get("boards/1/").data["version"]
    changed = api.patch("boards/1/", {"width": "7 1/4", "note": "one knot", "seen_version": version})
    board = changed.data["board"]
    assert (board["width"]["in"], board["length"]["in"], board["note"]) == ('7 1/4"', '96"', "one knot")
    refused(api.patch("boards/1/", {"width": "7", "seen_version": version}), 409, "stale", "seen_version")
    refused(api.patch("boards/1/", {}), 422, "invalid", "board")
    refused(api.patch("boards/1/", {"colour": "red"}), 422, "invalid", "colour")
    refused(maker_api.patch("boards/1/", {"price": "1"}), 403, "forbidden", "by")
    assert maker_api.patch("boards/1/", {"length": "244 cm"}).data["board"]["length"]["mm"] == "2440 mm"
    api.post("boards/1/use/", {"piece": accepted})
    refused(api.patch("boards/1/", {"length": "96"}), 409, "wrong-state", "length")
    assert api.patch("boards/1/", {"price": "50"}).data["board"]["price"] == "50.00"
    refused(api.patch("boards/9/", {"note": "x"}), 404, "not-found", "board")


@pytest.mark.parametrize(
    "wrong, code, field",
    [
        ({"species": "plywood"}, "unknown", "species"),
        ({"width": "70"}, "out-of-range", "width"),
        ({"price": "much"}, "invalid", "price"),
        ({"colour": "brown"}, "invalid", "colour"),
    ],
)
def test_a_board_that_cannot_be(api, wrong, code, field):
    assert refused(api.post("boards/", {**BOARD, **wrong}), 422, code, field)["allowed"] or field == "colour"
    assert head() == 0


def test_a_supply_through_its_life(api):
    asked = {"kind": "glue", "name": "Yellow glue", "sheet": "pva", "lot": "L-17", "got_on": "2026-01-05"}
    made = api.post("supplies/", asked)
    supply, address = made.data["supply"], made.headers["Location"]
    # PVA keeps about 12 months: calcs/tables/glues.csv, common practice, no source.
    assert (made.status_code, supply["best_before"], supply["shelf_life_d"]) == (201, "2027-01-05", 365)
    assert (
        api.post(f"{address}open/", {"opened_on": "2026-02-01"}).data["supply"]["opened_on"] == "2026-02-01"
    )
    refused(api.post(f"{address}open/"), 409, "wrong-state", "supply")
    assert api.post(f"{address}level/", {"level": "low"}).data["supply"]["level"] == "low"
    refused(api.post(f"{address}level/", {"level": "brimming"}), 422, "invalid", "level")
    fresh = api.post(f"{address}refill/", {"lot": "L-18", "use_by": "2026-08-01", "got_on": "2026-03-01"})
    assert [fresh.data["supply"][n] for n in ("lot", "level", "opened_on", "best_before")] == [
        "L-18", "full", None, "2026-08-01",
    ]  # fmt: skip
    assert len(api.get("supplies/?kind=glue").data["results"]) == 1
    api.post(f"{address}discard/", {"reason": "frozen"})
    assert api.get("supplies/").data["results"] == []
    assert api.get("supplies/?discarded=true").data["results"][0]["reason"] == "frozen"


def test_clamps_are_taken_and_given_back(api, accepted):
    made = api.post("equipment/", {"kind": "clamp", "count": 6, "reach": "1 m", "name": "Bar clamps"})
    clamps = str(made.data["equipment"]["id"])
    assert made.data["equipment"]["reach"]["mm"] == "1000 mm"
    order = Order(api, accepted)
    order.do_until("dry-fit")
    body = {"measured": order.good("glue-up", "start"), "override": IN_ONE_GO}
    many = order.ask("glue-up", "start", {**body, "clamps": {clamps: 7}})
    error = refused(many, 409, "wrong-state", f"clamps.{clamps}")
    assert (error["pointer"], error["allowed"]) == (f"#/clamps/{clamps}", "0 to 6")
    refused(order.ask("glue-up", "start", {**body, "clamps": {"7": 1}}), 422, "invalid", "clamps.7")
    order.ask("glue-up", "start", {**body, "clamps": {clamps: 5}})
    shown = api.get("equipment/").data[0]
    assert shown["free"] == 1
    assert [(h["piece"], h["stage"], h["count"]) for h in shown["held_by"]] == [(accepted, "glue-up", 5)]
    held = refused(api.post(f"equipment/{clamps}/retire/"), 409, "wrong-state", "equipment")
    assert held["allowed"] and api.patch(f"equipment/{clamps}/", {"count": 8}).data["equipment"]["free"] == 3
    assert order.ask("glue-up", "free-clamps").status_code == 200
    refused(order.ask("glue-up", "free-clamps"), 409, "wrong-state", "stage")
    assert api.post(f"equipment/{clamps}/retire/").data["equipment"]["retired_at"]
    assert api.get("equipment/").data == []
    noticed = order.finish("glue-up").data["notices"]
    assert noticed == ["lot L-17 is not among the supplies: how old it is, nobody knows"]
