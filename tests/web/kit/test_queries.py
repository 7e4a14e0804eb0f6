"""No page takes more than so many queries and calls, however much is in the shop."""

import cProfile
from itertools import chain
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.models import Commission
from tests.shop_fixtures import Work, a_client, a_commission, a_piece, a_price, accept_bare
from tests.web.every_page import NOT_PAGES, a_whole_shop, asked_by_browsers, pages
from tests.web.grown import grown_to_500
from tests.web.pages import Pages

pytestmark = pytest.mark.takes(20)

MOST = 21
MOST_CALLS = 380_000
"""About half a second of processor time; the list of hours made 1,240,000 before it read columns."""


def in_the_shop(work: Work, count: int) -> None:
    """Add so many accepted commissions, each with a piece that settles or can be started."""
    client = a_client(work.call())
    for _ in range(count):
        commission = a_commission(work.call(), client)
        a_piece(work.call(), commission)
        accept_bare(work.call(), commission=commission.number)


def queries(http: Any, path: str) -> int:
    with CaptureQueriesContext(connection) as counted:
        assert http.get(path).status_code == 200, path
    return len(counted)


def queries_and_calls(http: Any, path: str) -> tuple[int, int]:
    """Return the queries and the function calls of a page: its work, whatever the machine."""
    profile = cProfile.Profile(builtins=False, subcalls=False)
    with profile:
        count = queries(http, path)
    return count, sum(each.callcount for each in profile.getstats())


@pytest.mark.django_db
def test_every_page_is_looked_at_and_does_little_with_7_and_with_500_commissions() -> None:
    work = a_whole_shop()
    http, table = Pages(work.by).http, pages(work.by)
    assert set(table) | NOT_PAGES == asked_by_browsers(http)
    paths = [*chain.from_iterable(table.values()), "/commissions/?show=all", "/bench/now/", "/kept/"]
    few = {path: queries(http, path) for path in paths}
    grown_to_500()
    done = {path: queries_and_calls(http, path) for path in paths}
    many = {path: count for path, (count, _) in done.items()}
    assert {path: count for path, count in {**few, **many}.items() if count > MOST} == {}
    assert {path: count for path, count in many.items() if count > few[path]} == {}
    assert {path: calls for path, (_, calls) in done.items() if calls > MOST_CALLS} == {}


def test_a_commission_whatever_it_holds(pages: Pages, work: Work) -> None:
    in_the_shop(work, 1)
    commission = Commission.objects.get()
    a_price(work.call(), commission)
    url = f"/commissions/{commission.number}/"
    one = queries(pages.http, url)
    for n in range(5):
        a_piece(work.call(), commission, label=f"Top {n}")
    assert queries(pages.http, url) == one <= MOST
