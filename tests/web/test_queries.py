"""The bench and a commission stay within a fixed number of queries, however much is in the shop."""

from typing import Any

import pytest
from django.test.utils import CaptureQueriesContext

from jobs.commands.commissions import move_commission
from jobs.models import Commission
from tests.shop_fixtures import Work, a_client, a_commission, a_piece, a_price
from tests.web.pages import Pages

MOST = 20


def in_the_shop(work: Work, count: int) -> None:
    """So many commissions, all accepted, each with a piece that settles or can be started."""
    client = a_client(work.call())
    for _ in range(count):
        commission = a_commission(work.call(), client)
        a_piece(work.call(), commission)
        move_commission(work.call(), commission=commission.number, to="accepted")


@pytest.mark.long
def test_the_bench_and_the_list(pages: Pages, work: Work, django_assert_max_num_queries: Any):
    def queries() -> list[int]:
        counts = []
        for path in ("/", "/bench/now/", "/commissions/?show=all"):
            with django_assert_max_num_queries(MOST) as counted:
                pages.get(path)
            counts.append(len(counted))
        return counts

    in_the_shop(work, 5)
    few = queries()
    in_the_shop(work, 55)
    assert queries() == few


def test_a_commission_whatever_it_holds(pages: Pages, work: Work, django_assert_max_num_queries: Any):
    in_the_shop(work, 1)
    commission = Commission.objects.get()
    a_price(work.call(), commission)
    url = f"/commissions/{commission.number}/"

    def queries() -> CaptureQueriesContext:
        with django_assert_max_num_queries(MOST) as counted:
            pages.get(url)
        return counted

    one = queries()
    for n in range(5):
        a_piece(work.call(), commission, label=f"Top {n}")
    assert len(queries()) == len(one)
    in_the_shop(work, 4)
    assert len(queries()) == len(one)
