"""A whole order by requests alone: from the client to closed, with both papers."""

import time

from jobs.log.commands import verify_log
from jobs.log.rebuild import compare
from tests.api.driving import Order


def test_an_order_from_the_client_to_closed(api, number, quick, accepted):
    order = Order(api, accepted)
    lines = [{"description": "Desk top in walnut", "unit_price": "2400.00", "tax_pct": "8"}]
    api.put(f"commissions/{number}/price/", {"lines": lines})
    deposit = {"amount": "1000.00", "what": "deposit"}
    assert api.post(f"commissions/{number}/payments/", deposit).status_code == 201
    order.do_until("glue-up")
    assert api.get(f"commissions/{number}/").data["step"] == "in the shop"
    scrape, clamps = api.get("waits/").data
    assert {scrape["wait"]["kind"], clamps["wait"]["kind"]} == {"scrape", "unclamp"}
    time.sleep(2.1)  # the glue's sheet: squeeze-out after 1 s, clamps off after 2 s, so none is overridden
    assert order.ask("scrape", "start").status_code == 200
    assert order.ask("clamps-off", "start").status_code == 200
    order.finish("scrape"), order.finish("clamps-off")
    order.do_until("wrap")
    assert api.get(f"commissions/{number}/").data["step"] == "ready"
    checklist = api.post(f"commissions/{number}/checklist/")
    assert checklist.status_code == 201
    assert api.get(checklist.headers["Location"]).data["content"]["pieces"][0]["length"]["in"] == '60"'
    order.do("deliver")
    # 2400.00 and 8 % tax = 2592.00, less the deposit of 1000.00.
    invoice = api.post(f"commissions/{number}/invoice/", {"due_on": "2999-12-31"}).data["paper"]["invoice"]
    assert (invoice["net"], invoice["tax"], invoice["total"]) == ("2400.00", "192.00", "2592.00")
    assert (invoice["paid_before"], invoice["due"]) == ("1000.00", "1592.00")
    unpaid = order.ask("paid", "start")
    assert unpaid.status_code == 200
    shut = order.ask("paid", "finish", {"minutes": 1})
    assert (shut.status_code, shut.data["shut"][0]["value"]) == (409, "1592.00 owed")
    api.post(f"commissions/{number}/payments/", {"amount": "1592.00"})
    closed = api.get(f"commissions/{number}/").data
    assert (closed["step"], closed["money"]["summary"]["open"]) == ("closed", "0.00")
    assert {s["step"] for s in closed["pieces"][0]["stages"]} == {"done"}
    followed = follow(api)
    assert [event["seq"] for event in followed] == list(range(1, len(followed) + 1))
    assert followed[-1]["hash"] == verify_log().head_hash == api.get("log/").data["head_hash"]
    assert compare() == []


def follow(api) -> list[dict]:
    """Read the feed to its end, in small pages."""
    events: list[dict] = []
    while True:
        answer = api.get(f"events/?after={events[-1]['seq'] if events else 0}&limit=20").data
        events += answer["events"]
        if answer["last"] == answer["head"]:
            return events
