"""Made-up requests against the API's own schema. Collected with ``--long`` only."""

import os
from collections import Counter
from collections.abc import Iterator

import pytest
import schemathesis
from django.core.cache import cache
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from django.utils import timezone
from hypothesis import HealthCheck, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from jobs.models import Person
from shop.wsgi import application
from tests.api.client import Api
from tests.kept_work import once
from tests.shop_fixtures import QUICK, QUICK_FINISH, QUICK_GLUE, TOP

CHECKS = (
    not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance,
)  # fmt: skip


@pytest.fixture(scope="module")
def tried() -> Iterator[Counter[str]]:
    """Count the made-up requests by sender; ``-s`` shows the sums."""
    sums: Counter[str] = Counter()
    yield sums
    print(f"\nmade-up requests: {sums.total()}, {dict(sums)}")


@pytest.fixture(params=["owner", "maker", "nobody"])
def sender(request: pytest.FixtureRequest, fuzzed: Api, maker: Person) -> Api:
    """Send as the owner, as a maker and without signing in."""
    return {"owner": fuzzed, "maker": Api(maker), "nobody": Api()}[request.param]


def something_of_each_kind(api: Api) -> dict[str, int]:
    """Return the keys of a board, a supply and a clamp in a shop with one commission of two pieces."""
    client = api.post("clients/", {"name": "Orla Fenwick", "email": "orla@fenwick.example"}).data["client"]
    made = api.post("commissions/", {"client": client["id"], "title": "Desk by the window"})
    api.post("sheets/", {"kind": "glue", "key": "quick-glue", "data": QUICK_GLUE})
    api.post("sheets/", {"kind": "finish", "key": "quick-finish", "data": QUICK_FINISH})
    for label in ("First", "Second"):
        number = made.data["commission"]["number"]
        api.post(f"commissions/{number}/pieces/", {**TOP, **QUICK, "label": label})
    stock = {
        "board": api.post("boards/", {"species": "walnut", "thickness": 2, "width": 7, "length": 96}),
        "supply": api.post("supplies/", {"kind": "glue", "name": "Yellow glue", "sheet": "pva"}),
        "equipment": api.post("equipment/", {"kind": "clamp", "count": 6, "reach": 40}),
    }
    return {name: int(made.headers["Location"].split("/")[-2]) for name, made in stock.items()}


@pytest.fixture
def fuzzed(api: Api) -> Iterator[Api]:
    """Return a client of a shop with something of each kind; keep its connection for the test's rollback."""
    THERE.update(once("something of each kind", lambda: something_of_each_kind(api)))
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield api
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


schema = schemathesis.openapi.from_wsgi("/api/v1/schema/", application)
THERE = {
    "client": 1000, "commission": f"{timezone.localtime().year}-001", "stage": "survey", "kind": "glue",
    "piece": f"{timezone.localtime().year}-001-1", "sheet": "pva", "code": "stale",
}  # fmt: skip


@schema.hook
def map_path_parameters(context, path_parameters):
    """Replace made-up names, which find nothing, by those of the shop above."""
    return {name: THERE.get(name, value) for name, value in (path_parameters or {}).items()}


def test_what_the_made_up_requests_name_is_there(fuzzed):
    for address in (
        "clients/{client}/",
        "commissions/{commission}/",
        "pieces/{piece}/",
        "sheets/{kind}/{sheet}/",
    ):
        assert fuzzed.get(address.format(**THERE)).status_code == 200


@pytest.mark.django_db
@pytest.mark.long
@schema.exclude(path="/api/v1/health").parametrize()  # 503 is one of its answers
@settings(
    max_examples=int(os.environ.get("SHOP_TEST_EXAMPLES", "12")), derandomize=True, deadline=None,
    database=None, suppress_health_check=list(HealthCheck),
)  # fmt: skip
def test_made_up_requests_are_answered_as_described(case, sender, tried, request):
    tried[request.node.callspec.params["sender"]] += 1
    cache.clear()  # the cache counts tries
    plain = {**sender.headers, "Accept-Encoding": "identity"}
    case.call_and_validate(headers=plain, checks=list(CHECKS))
