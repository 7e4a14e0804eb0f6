"""A route whose wait takes a second, and what people do with its pieces: no test waits longer."""

from pathlib import Path
from typing import Any

from tests.process.client import Client

ROUTE = """
key = "seconds"
title = "A wait of a second"

[[stage]]
key = "glue-up"
title = "Glue-up"
waits = [{ kind = "hold", title = "Holding", duration = "1 s", holds = ["clamps-off"] }]

[[stage]]
key = "clamps-off"
title = "Clamps off"
after = ["glue-up"]
"""
STAGE = "pieces/{}/stages/glue-up/{}/"


def give_route(data: Path) -> None:
    """Write the route before the start: the shop's own routes are files in its data folder."""
    folder = data / "routes"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    (folder / "seconds.toml").write_text(ROUTE, "utf-8")


def accepted_commission(client: Client) -> str:
    person = client.post("clients/", {"name": "Orla Fenwick"})["client"]
    asked = {"client": person["id"], "title": "A shelf of boxes"}
    number = str(client.post("commissions/", asked)["commission"]["number"])
    client.post(f"commissions/{number}/accept/", {"price": "2400", "promise_on": "2999-01-01"})
    return number


def a_box(label: str) -> dict[str, Any]:
    return {"route": "seconds", "label": label}
