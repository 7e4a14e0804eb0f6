"""The triggers that keep the log append-only in the database itself."""

import pytest
from django.core.checks import run_checks
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction

from jobs.domain.clients.commands import add_client
from jobs.log import triggers
from jobs.log.commands import verify_log
from tests.flush import no_triggers
from tests.log.sql import run
from tests.shop_fixtures import a_call

pytestmark = [pytest.mark.both_databases, pytest.mark.django_db]
SQLITE = connection.vendor == "sqlite"
CHANGES = [
    "UPDATE jobs_event SET actor = 'x' WHERE seq = 1",
    "UPDATE jobs_event SET seq = 7",
    "DELETE FROM jobs_event WHERE seq = 1",
    "DELETE FROM jobs_event",
]
CHANGES += (
    [
        "INSERT OR REPLACE INTO jobs_event SELECT * FROM jobs_event WHERE seq = 1",
        "REPLACE INTO jobs_event SELECT * FROM jobs_event",
        "INSERT INTO jobs_event SELECT * FROM jobs_event WHERE seq = 1 "
        "ON CONFLICT (seq) DO UPDATE SET actor = 'x'",
    ]
    if SQLITE
    else [
        "TRUNCATE jobs_event",
        "TRUNCATE jobs_event CASCADE",
        "INSERT INTO jobs_event SELECT * FROM jobs_event WHERE seq = 1 "
        "ON CONFLICT (seq) DO UPDATE SET actor = 'x'",
    ]
)


@pytest.fixture
def one_event():
    add_client(a_call("shop"), name="Orla Fenwick")


@pytest.mark.parametrize("statement", CHANGES)
def test_the_database_refuses_to_change_events(one_event, statement):
    with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
        run(statement)
    assert verify_log().count == 1


def test_they_are_all_there():
    assert triggers.missing("default") == set()
    assert problems() == []


@pytest.mark.parametrize("name", triggers.NAMES[connection.vendor])
def test_the_check_names_one_that_is_missing_and_create_brings_it_back(name):
    run(f"DROP TRIGGER {name}" + ("" if SQLITE else " ON jobs_event"))
    assert triggers.missing("default") == {name}
    assert [p.msg for p in problems()] == [f"trigger {name} on jobs_event is missing"]
    triggers.create("default")
    assert problems() == []


def test_triggers_that_are_switched_off_count_as_missing():
    with no_triggers(connection):
        assert triggers.missing("default") == set(triggers.NAMES[connection.vendor])


def test_migrate_brings_them_back():
    run("DROP TRIGGER event_no_update" if SQLITE else "DROP TRIGGER event_no_change ON jobs_event")
    call_command("migrate", verbosity=0)
    assert triggers.missing("default") == set()


def problems():
    return [p for p in run_checks(databases=["default"]) if p.id == "jobs.E001"]
