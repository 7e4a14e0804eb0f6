"""The chain finds whatever is altered, lost, swapped or inserted, and names the event."""

import re
from datetime import timedelta
from io import StringIO
from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command

from jobs.core.errors import LogBroken, WrongState
from jobs.domain.clients.commands import add_client
from jobs.log.commands import GENESIS, event_hash, verify_log
from jobs.models import Event, LogHead
from tests.log.sql import set_column, tamper
from tests.shop_fixtures import NOON, a_call

pytestmark = [pytest.mark.both_databases, pytest.mark.django_db]
COLUMNS = {
    "seq": 9,
    "kind": "client_changed",
    "version": 9,
    "stream": "client:1",
    "body": '{"name":null}',
    "actor": "person-somebody",
    "occurred_at": NOON - timedelta(microseconds=1),
    "recorded_at": NOON + timedelta(days=1),
    "command_id": uuid4(),
    "prev_hash": "f" * 64,
    "hash": "e" * 64,
}


@pytest.fixture
def four_events():
    for n in range(4):
        add_client(a_call("shop", NOON + timedelta(minutes=n)), name=f"Client {n}")
    return list(Event.objects.all())


def test_an_untouched_log_verifies(four_events):
    verified = verify_log()
    assert (verified.count, verified.head_hash) == (4, four_events[-1].hash)
    assert [e.prev_hash for e in four_events] == [GENESIS, *(e.hash for e in four_events[:-1])]


def test_an_empty_log_verifies():
    assert verify_log().count == 0


def test_every_column_has_a_row_in_this_test():
    assert {f.column for f in Event._meta.concrete_fields} == set(COLUMNS)


@pytest.mark.parametrize("column", COLUMNS)
def test_altering_any_column_names_the_event(four_events, column):
    value = COLUMNS[column]
    assert getattr(four_events[1], column) != value
    field = Event._meta.get_field(column)
    set_column(Event, 2, column, field.get_db_prep_value(value, _connection()))
    with pytest.raises(LogBroken, match=r"event 2\b"):
        verify_log()


@pytest.mark.parametrize(
    "statement, named",
    [
        ("DELETE FROM jobs_event WHERE seq = 4", "the log ends at event 3, its head says 4"),
        ("DELETE FROM jobs_event WHERE seq = 2", "event 2 is missing"),
        ("DELETE FROM jobs_event WHERE seq = 1", "event 1 is missing"),
        ("DELETE FROM jobs_event", "the log ends at event 0, its head says 4"),
    ],
)
def test_deleting_is_found(four_events, statement, named):
    tamper(statement)
    with pytest.raises(LogBroken, match=named):
        verify_log()


def test_swapping_two_events_is_found(four_events):
    for was, becomes in ((2, 99), (3, 2), (99, 3)):
        tamper("UPDATE jobs_event SET seq = %s WHERE seq = %s", [becomes, was])
    with pytest.raises(LogBroken, match="event 2 does not follow event 1"):
        verify_log()


def test_an_event_slipped_in_after_the_last_is_found(four_events):
    last = four_events[-1]
    forged = Event(
        seq=5, kind=last.kind, version=1, stream=last.stream, body=last.body, actor="shop", occurred_at=NOON,
        recorded_at=NOON, command_id=uuid4(), prev_hash=last.hash,
    )  # fmt: skip
    forged.hash = event_hash(forged)
    forged.save()
    with pytest.raises(LogBroken, match="the log ends at event 5, its head says 4"):
        verify_log()


def test_an_event_put_between_two_others_is_found(four_events):
    tamper("UPDATE jobs_event SET seq = 5 WHERE seq = 4")
    third = four_events[2]
    forged = Event(
        seq=4, kind=third.kind, version=1, stream=third.stream, body=third.body, actor="shop",
        occurred_at=NOON, recorded_at=NOON, command_id=uuid4(), prev_hash="a" * 64,
    )  # fmt: skip
    forged.hash = event_hash(forged)
    forged.save()
    with pytest.raises(LogBroken, match="event 4 does not follow event 3"):
        verify_log()


def test_a_head_moved_back_is_found(four_events):
    LogHead.objects.filter(id=1).update(seq=3, hash=four_events[2].hash)
    with pytest.raises(LogBroken, match="the log ends at event 4, its head says 3"):
        verify_log()


def test_a_rewritten_event_with_a_fitting_hash_breaks_the_next(four_events):
    second = four_events[1]
    second.body = second.body.replace(second.data["name"]["private"], str(uuid4()))
    set_column(Event, 2, "body", second.body)
    set_column(Event, 2, "hash", event_hash(second))
    with pytest.raises(LogBroken, match="event 3 does not follow event 2"):
        verify_log()


def test_verify_log_command_says_what_it_found(four_events):
    out = StringIO()
    call_command("verify_log", stdout=out)
    assert re.match(r"4 events and 4 texts, the chain holds, head [0-9a-f]{16}", out.getvalue())
    set_column(Event, 3, "actor", "somebody")
    with pytest.raises(CommandError, match=r"event 3 \(client_added\) was altered"):
        call_command("verify_log")


@pytest.mark.parametrize("verb", ["update", "delete", "bulk_update", "bulk_create", "update_or_create"])
def test_the_model_offers_no_way_to_change_events(four_events, verb):
    with pytest.raises(WrongState, match="append-only"):
        getattr(Event.objects.all(), verb)()


def test_a_stored_event_is_neither_saved_again_nor_deleted(four_events):
    with pytest.raises(WrongState, match="append-only"):
        four_events[0].save()
    with pytest.raises(WrongState, match="append-only"):
        four_events[0].delete()


def _connection():
    from django.db import connection

    return connection
