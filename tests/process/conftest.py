"""One running service for the tests that leave it healthy."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.launch.running import Running, eventually, running
from tests.process.client import Client
from tests.process.health import ENV, health, says
from tests.process.seconds import give_route

collect_ignore = ["hanging.py"]
"""The worker of one test reads it; reading it sets a time limit."""


@pytest.fixture(scope="package")
def data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the data folder of the service."""
    return tmp_path_factory.mktemp("shop")


@pytest.fixture(scope="package")
def _up(data: Path) -> Iterator[Running]:
    give_route(data)
    with running(data, **ENV, SHOP_OWNER_EMAIL="ines@shop.example") as up:
        yield up


@pytest.fixture
def service(_up: Running) -> Running:
    """Return the service, once it is healthy whatever was done to it before."""
    assert eventually(says(_up, 200, ""), at_most_s=60), health(_up)
    _up.listen_afresh()
    return _up


@pytest.fixture(scope="package")
def client(_up: Running, data: Path) -> Client:
    """Return the owner's client of the service."""
    return Client.of_owner(_up, data)
