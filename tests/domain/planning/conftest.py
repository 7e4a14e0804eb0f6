"""A shop with slow glue, in which days pass between stages, and its plan as the worker makes it."""

from collections.abc import Callable

import pytest

from jobs.domain.planning import publishing
from jobs.domain.planning.published import Published
from jobs.domain.workshop.commands import set_sheet
from jobs.models import PublishedPlan
from tests.shop_fixtures import QUICK_FINISH, QUICK_GLUE, Work

HOUR = 3600
SLOW_GLUE = QUICK_GLUE | {
    "scrape_from_s": HOUR // 2, "scrape_to_s": HOUR, "unclamp_s": 5 * HOUR, "machine_s": 24 * HOUR,
    "surface_s": 48 * HOUR, "full_s": 72 * HOUR,
}  # fmt: skip
SLOW_FINISH = QUICK_FINISH | {
    "touch_dry_s": HOUR, "recoat_from_s": 4 * HOUR, "light_use_s": 24 * HOUR, "full_s": 7 * 24 * HOUR,
}  # fmt: skip

Planned = Callable[..., Published]


@pytest.fixture
def slow(work: Work) -> Work:
    """Return the shop with a glue that stays in the clamps for five hours."""
    set_sheet(work.call(), kind="glue", key="quick-glue", data=SLOW_GLUE)
    set_sheet(work.call(), kind="finish", key="quick-finish", data=SLOW_FINISH)
    return work


@pytest.fixture
def planned(work: Work) -> Planned:
    """Return a function that makes the plan now and returns what was published."""

    def plan(seconds: float = 0.05) -> Published:
        PublishedPlan.objects.update(tried_at=None)
        assert publishing.publish(work.now, seconds=seconds), PublishedPlan.objects.get().trouble
        said = publishing.current()
        assert said is not None
        return said

    return plan
