"""What every test may use: the databases, the broker, and the two switches of a run."""

import os
import secrets
import subprocess
from collections.abc import Iterator
from urllib.parse import urlsplit

import pytest

from jobs.models import Person
from tests.needs import missing, refuse
from tests.shop_fixtures import a_maker, an_owner


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="also run tests marked long")


SLOW_FIRST = ("tests/process/", "tests/launch/", "tests/log/", "tests/web/browser/")
"""Few and long: begun last, they would leave one worker alone with them."""


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    items.sort(key=lambda item: not item.nodeid.startswith(SLOW_FIRST))
    if config.getoption("--long"):
        return
    long = [item for item in items if item.get_closest_marker("long")]
    items[:] = [item for item in items if item not in long]
    config.hook.pytest_deselected(items=long)


def pytest_runtest_setup(item: pytest.Item) -> None:
    for marker in item.iter_markers("needs"):
        for what in marker.args:
            if reason := missing(what):
                refuse(reason)


@pytest.fixture
def owner(db: None) -> Person:
    return an_owner(name="Ada Lindenau", email="ada@lindenau.example")


@pytest.fixture
def maker(db: None) -> Person:
    return a_maker(name="Ben Aldersey")


@pytest.fixture(scope="session")
def redis_url() -> Iterator[str]:
    """A real broker where the settings look for one, so that tasks really travel through it."""
    from django.conf import settings

    from shop.launch import broker

    if reason := missing("redis"):
        refuse(reason)
    process = subprocess.Popen(broker.command(settings.DATA_DIR))
    try:
        assert broker.wait(settings.REDIS_URL, at_most_s=10), "the broker does not answer"
        yield settings.REDIS_URL
    finally:
        process.terminate()
        process.wait()


@pytest.fixture
def postgres_url() -> Iterator[str]:
    """The address of an empty PostgreSQL database of this test's own."""
    import psycopg
    from psycopg import sql

    if reason := missing("postgres"):
        refuse(reason)
    server = os.environ["SHOP_TEST_POSTGRES_URL"]
    name = f"test_{secrets.token_hex(4)}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        yield urlsplit(server)._replace(path=f"/{name}").geturl()
        connection.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None) -> None:
    from tests.flush import allow_flush

    allow_flush()
