"""Whatever is done, every page, API object and paper can be opened: see ``open_shop``."""

import os
from random import SystemRandom

import pytest
from hypothesis import HealthCheck, Phase, seed, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.web.addresses import unknown
from tests.web.arguments import ARGUMENTS, MORE, SPECIAL
from tests.web.open_shop import COMMANDS, OpenShop, arguments

pytestmark = [pytest.mark.django_db, pytest.mark.takes(10)]
BOUNDED = settings(
    max_examples=1, stateful_step_count=40, deadline=None, database=None, derandomize=True,
    suppress_health_check=list(HealthCheck), phases=[Phase.generate],
)  # fmt: skip
FREE = settings(
    max_examples=int(os.environ.get("SHOP_TEST_EXAMPLES", "40")), stateful_step_count=50, deadline=None,
    database=None, print_blob=True, suppress_health_check=list(HealthCheck), phases=[Phase.generate],
)  # fmt: skip


def test_every_command_and_each_of_its_arguments_is_known():
    assert len(COMMANDS) > 60
    asked = {(name, a) for name in COMMANDS for part in arguments(name) for a in part}
    assert {(name, a) for name, a in asked if a not in ARGUMENTS and (name, a) not in SPECIAL} == set()
    assert set(MORE) <= set(COMMANDS) and {name for name, _ in SPECIAL} <= set(COMMANDS)


def test_every_part_of_an_address_is_known():
    assert unknown() == set()


def test_whatever_happens_everything_can_be_opened():
    run_state_machine_as_test(OpenShop, settings=BOUNDED)


@pytest.mark.long
def test_more_happens_and_other_things_each_time():
    chosen = int(os.environ.get("SHOP_TEST_SEED") or SystemRandom().randrange(2**32))
    print(f"SHOP_TEST_SEED={chosen}")
    run_state_machine_as_test(seed(chosen)(OpenShop), settings=FREE)
