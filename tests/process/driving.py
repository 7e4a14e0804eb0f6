"""Drive a piece through its route by the API, as far as the clamps."""

from datetime import datetime
from typing import Any

from tests.process.client import Client, Refused
from tests.shop_fixtures import GOOD, QUICK_FINISH, QUICK_GLUE, TOP

OVERRIDE = "test piece, nothing of value is glued"


def sheets(client: Client, *, unclamp: str) -> None:
    """Store a glue with this time in clamps and without a scraping window, and a finish to go with it."""
    data: dict[str, Any] = {
        name: value for name, value in QUICK_GLUE.items() if name not in ("scrape_from_s", "scrape_to_s")
    }
    data |= {"unclamp_s": unclamp, "machine_s": "1 h", "surface_s": "2 h", "full_s": "3 h"}
    client.post("sheets/", {"kind": "glue", "key": "quick-glue", "data": data})
    client.post("sheets/", {"kind": "finish", "key": "quick-finish", "data": QUICK_FINISH})


def in_clamps(client: Client, title: str, *, at: datetime | None = None) -> dict[str, Any]:
    """Return the running wait of a piece that was glued up now, or at an earlier moment."""
    happened = {"occurred_at": at.isoformat()} if at else {}
    asked = {**TOP, "label": title, "glue": "quick-glue", "finish_face": "quick-finish"}
    person = client.post("clients/", {"name": "Orla Fenwick", **happened})["client"]
    order = client.post("commissions/", {"client": person["id"], "title": title, **happened})["commission"]
    piece = client.post(f"commissions/{order['number']}/pieces/", {**asked, **happened})["piece"]
    client.post(
        f"commissions/{order['number']}/accept/", {"price": "900", "promise_on": "2999-01-01", **happened}
    )
    for stage in piece["stages"]:
        if not stage["passive"]:
            work_on(client, piece["number"], stage, happened)
        if stage["key"] == "glue-up":
            break
    (wait,) = client.get(f"pieces/{piece['number']}/")["waits"]
    return {**wait, "piece": piece["number"], "commission": order["number"]}


def work_on(client: Client, piece: str, stage: dict[str, Any], happened: dict[str, Any]) -> None:
    for verb, more in (("start", {}), ("finish", {"minutes": 5})):
        asked = [g["key"] for g in stage["gates"] if g["at"] == verb and "unit" in g]
        body = {**happened, **more, "measured": {key: GOOD.get(key, "yes") for key in asked}}
        through(client, f"pieces/{piece}/stages/{stage['key']}/{verb}/", body)


def through(client: Client, path: str, body: dict[str, Any]) -> None:
    """Send a request, and override the gates that fail, each with a reason."""
    try:
        client.post(path, body)
    except Refused as refused:
        assert refused.problem["code"] in ("gate-shut", "several-clampings"), refused
        shut = refused.problem.get("shut", [{"key": "clampings"}])
        reasons = {**body.get("override", {}), **{one["key"]: OVERRIDE for one in shut}}
        assert reasons != body.get("override"), refused
        through(client, path, {**body, "override": reasons})
