"""A shop with slow glue, in which days pass between stages, and its plan as the worker makes it."""

from collections.abc import Callable
from datetime import datetime

import pytest
from django.conf import LazySettings

from jobs.domain.planning import plan_view, publishing
from jobs.domain.planning.published import Published
from jobs.domain.workshop.commands import set_sheet
from jobs.models import Person, PublishedPlan
from tests.kept_work import once
from tests.shop_fixtures import QUICK_FINISH, QUICK_GLUE, ROUTES, Work, an_owner, quick_sheets

HOUR = 3600
SLOW_GLUE = QUICK_GLUE | {
    "scrape_from_s": HOUR // 2, "scrape_to_s": HOUR, "unclamp_s": 5 * HOUR, "machine_s": 24 * HOUR,
    "surface_s": 48 * HOUR, "full_s": 72 * HOUR,
}  # fmt: skip
SLOW_FINISH = QUICK_FINISH | {
    "touch_dry_s": HOUR, "recoat_from_s": 4 * HOUR, "light_use_s": 24 * HOUR, "full_s": 7 * 24 * HOUR,
}  # fmt: skip

Planned = Callable[..., Published]


@pytest.fixture(autouse=True)
def few_lives(monkeypatch: pytest.MonkeyPatch) -> None:
    """Live through each plan as few times as may be: no test here reads the chances."""
    monkeypatch.setattr(plan_view, "RUNS", plan_view.FEWEST_RUNS)


@pytest.fixture
def work(db: None, settings: LazySettings) -> Work:
    """Return the shop of one owner with quick products."""
    settings.ROUTES_DIR = ROUTES
    return _shop("quick")


@pytest.fixture
def slow(db: None, settings: LazySettings) -> Work:
    """Return the shop with a glue that stays in the clamps for five hours."""
    settings.ROUTES_DIR = ROUTES
    return _shop("slow")


def _shop(products: str) -> Work:
    """Return a shop as it was begun in the first test here, see ``kept_work``."""
    now = once(("begun", products), lambda: _begun(products))
    return Work(Person.objects.get(), now=now)


def _begun(products: str) -> datetime:
    work = Work(an_owner())
    quick_sheets(work.call())
    if products == "slow":
        set_sheet(work.call(), kind="glue", key="quick-glue", data=SLOW_GLUE)
        set_sheet(work.call(), kind="finish", key="quick-finish", data=SLOW_FINISH)
    return work.now


@pytest.fixture
def planned(slow: Work) -> Planned:
    """Return a function that makes the plan now and returns what was published."""

    def plan(seconds: float = 0.01) -> Published:
        PublishedPlan.objects.update(tried_at=None)
        assert publishing.publish(slow.now, seconds=seconds), PublishedPlan.objects.get().trouble
        said = publishing.current()
        assert said is not None
        return said

    return plan
