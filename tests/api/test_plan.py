"""The plan over the API."""

from django.utils import timezone

from jobs.domain.planning.publishing import publish
from tests.api.client import Api
from tests.shop_fixtures import QUICK, Work, a_maker, an_owner, quick_sheets


def test_the_plan_is_empty_before_the_first_and_whole_after_it(db: None):
    owner, maker = an_owner(), a_maker()
    work = Work(owner)
    quick_sheets(work.call())
    api = Api(owner)
    assert api.get("plan/").data == {
        "made_at": None, "trouble": "", "coarse_from": None, "work": [], "waits": [], "finishes": [],
        "not_planned": [], "moved": [],
    }  # fmt: skip
    piece = work.accepted(**QUICK)
    assert publish(timezone.now())
    told = api.get("plan/").data
    assert told["made_at"] and {one["piece"] for one in told["work"]} == {piece.number}
    assert all(one["begins"] < one["ends"] and one["do"] and one["people"] for one in told["work"])
    assert [one["commission"] for one in told["finishes"]] == [piece.commission.number]
    helper = Api(maker).get("plan/").data
    owners = {s.key for s in piece.stages.all() if s.spec["owner_only"]}
    assert {one["stage"] for one in told["work"]} - {one["stage"] for one in helper["work"]} <= owners
    assert not owners & {one["stage"] for one in helper["work"]}
    assert Api().get("plan/").status_code in (401, 403)
