"""Random stories: see ``machine``. Those of the usual run are the same each time, and few."""

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.log.machine import Shop
from tests.shop_fixtures import ROUTES

pytestmark = [pytest.mark.both_databases, pytest.mark.django_db, pytest.mark.takes(16)]
BOUNDED = settings(
    max_examples=4, stateful_step_count=30, deadline=None, database=None, derandomize=True,
    suppress_health_check=list(HealthCheck), phases=[Phase.generate],
)  # fmt: skip
FREE = settings(
    max_examples=60, stateful_step_count=60, deadline=None, suppress_health_check=list(HealthCheck)
)


@pytest.fixture(autouse=True)
def short_route(settings):
    settings.ROUTES_DIR = ROUTES


def test_whatever_happens_the_shop_is_sound():
    run_state_machine_as_test(Shop, settings=BOUNDED)


@pytest.mark.long
def test_more_of_it_and_other_stories_each_time():
    run_state_machine_as_test(Shop, settings=FREE)
