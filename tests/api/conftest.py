"""Clients of the API, and the shortest way to an order."""

from copy import deepcopy
from typing import Any

import pytest

from jobs.log.commands import call_now
from jobs.models import Person
from tests.api.client import Api
from tests.kept_work import once
from tests.shop_fixtures import QUICK, QUICK_FINISH, QUICK_GLUE, TOP, accept_bare


@pytest.fixture
def api(owner: Person) -> Api:
    """Return the owner's client."""
    return Api(owner)


@pytest.fixture
def maker_api(maker: Person) -> Api:
    return Api(maker)


@pytest.fixture
def nobody(db: None) -> Api:
    return Api()


def kept(api: Api, address: str, asked: dict[str, Any]) -> dict[str, Any]:
    """Return what posting this answered the first time, see ``kept_work``."""
    return deepcopy(once(("post", address, repr(asked)), lambda: api.post(address, asked).data))


@pytest.fixture
def client_id(api: Api) -> int:
    return int(
        kept(api, "clients/", {"name": "Orla Fenwick", "email": "orla@fenwick.example"})["client"]["id"]
    )


@pytest.fixture
def number(api: Api, client_id: int) -> str:
    """Return the number of a new commission."""
    asked = {"client": client_id, "title": "Desk by the window"}
    return str(kept(api, "commissions/", asked)["commission"]["number"])


@pytest.fixture
def quick(api: Api) -> dict[str, str]:
    """Store product sheets whose waits take seconds; return them as fields of a piece."""
    kept(api, "sheets/", {"kind": "glue", "key": "quick-glue", "data": QUICK_GLUE})
    kept(api, "sheets/", {"kind": "finish", "key": "quick-finish", "data": QUICK_FINISH})
    return QUICK


@pytest.fixture
def piece(api: Api, number: str, quick: dict[str, str]) -> dict[str, Any]:
    """Return a top on that commission."""
    made: dict[str, Any] = kept(api, f"commissions/{number}/pieces/", {**TOP, **quick})["piece"]
    return made


@pytest.fixture
def accepted(owner: Person, number: str, piece: dict[str, Any]) -> str:
    """Accept the commission with its top; return the number of the piece."""
    once(("accepted", number), lambda: accept_bare(call_now(owner.id), commission=number))
    return str(piece["number"])
