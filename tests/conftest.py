"""Fixtures and switches for every test: the databases, the broker, the options of a run."""

import gc
import os
import secrets
import subprocess
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import hypothesis
import pytest
from xdist.remote import Producer

from jobs.models import Person
from tests import chance, order
from tests.needs import missing, refuse
from tests.shop_fixtures import a_maker, an_owner

hypothesis.settings.register_profile(
    "exploring", max_examples=500, deadline=None, derandomize=False, print_blob=True
)
"""With ``--long``, also where CI is true: otherwise Hypothesis repeats the same examples there."""


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="also run tests marked long")


LONG_ALONE = {"test_made_up_requests.py": "schemathesis.pytest.plugin"}
"""Files that the usual run does not even collect, with the plugin they need: collecting them takes long."""


def pytest_configure(config: pytest.Config) -> None:
    if config.getoption("--long"):
        for plugin in LONG_ALONE.values():
            config.pluginmanager.import_plugin(plugin)
        hypothesis.settings.load_profile("exploring")


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    return collection_path.name in LONG_ALONE and not config.getoption("--long") or None


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    order.sort(items)
    if config.getoption("--long"):
        return
    long = [item for item in items if item.get_closest_marker("long")]
    items[:] = [item for item in items if item not in long]
    config.hook.pytest_deselected(items=long)


def pytest_collection_finish() -> None:
    """Freeze what exists now out of later garbage collections, and collect less often."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 50, 50)


def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> order.OneServiceAtATime | None:
    return order.OneServiceAtATime(config, log) if config.getvalue("dist") == "loadfile" else None


@pytest.fixture(scope="session", autouse=True)
def _the_same_chance() -> Iterator[None]:
    with chance.same_each_time():
        yield


def pytest_runtest_setup(item: pytest.Item) -> None:
    chance.dice.begin()
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
    """Start a real broker where the settings look for one, so that tasks really travel through it."""
    from django.conf import settings

    from shop.launch import broker

    if reason := missing("redis"):
        refuse(reason)
    process = subprocess.Popen(broker.command(settings.DATA_DIR))
    try:
        assert broker.wait(settings.DATA_DIR, at_most_s=10), "the broker does not answer"
        yield settings.REDIS_URL
    finally:
        process.terminate()
        process.wait()


@pytest.fixture
def postgres_url() -> Iterator[str]:
    """Return the address of an empty PostgreSQL database for this test."""
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
