"""The log alone rebuilds the state, a change past it is found, and no payload is misread."""

import re
from collections.abc import Iterator
from dataclasses import MISSING, fields
from io import StringIO
from uuid import UUID

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, models, transaction

from jobs.core.canonical_json import CanonicalField, dumps
from jobs.core.errors import LogBroken
from jobs.core.units import Units
from jobs.domain.workshop.demo import BEGUN
from jobs.log.projections.kinds import KINDS, payload_of
from jobs.log.projectors import Turn, refill
from jobs.log.rebuild import compare, rebuild
from jobs.log.scratch_database import state_models
from jobs.models import Event, LogHead, Piece, ReminderDue, WaitEstimate
from jobs.web.commissions.history import event_rows
from tests.chance import dice
from tests.log.sql import run, set_column
from tests.stories import a_long_story, forgotten

pytestmark = [pytest.mark.both_databases, pytest.mark.usefixtures("told", "db"), pytest.mark.takes(12)]


@pytest.fixture(scope="module")
def told(django_db_setup, django_db_blocker) -> Iterator[None]:
    """Run a long story once for all tests here and roll it back after the last; each rolls back its own."""
    with dice.other_lot(), django_db_blocker.unblock(), transaction.atomic():
        forgotten(a_long_story())
        with django_db_blocker.block():
            yield
        transaction.set_rollback(True)


def rows(*kinds):
    return {m.__name__: list(m._default_manager.order_by("pk").values()) for m in kinds}


def test_the_story_has_every_kind_of_event_and_a_row_in_every_state_table():
    of_a_demo = {BEGUN}  # the first event of a demo shop alone
    assert set(Event.objects.values_list("kind", flat=True)) == set(KINDS) - of_a_demo
    assert [m.__name__ for m in state_models() if not m._default_manager.exists()] == []
    assert compare() == []


@pytest.mark.parametrize("kind", sorted(KINDS))
class TestEveryKindOfEvent:
    def test_it_has_a_payload_and_a_sentence(self, kind):
        events = Event.objects.filter(kind=kind)
        assert all(isinstance(payload_of(event), KINDS[kind].payload) for event in events)
        told = event_rows(events, units=Units(), with_money=True, names={})
        assert len(told) == events.count() and all(row["text"].strip() for row in told)

    def test_a_member_more_is_refused(self, kind):
        for event in Event.objects.filter(kind=kind):
            refused(event, {**event.data, "surplus": 1}, "surplus is 1; allowed: no member but")

    def test_a_member_less_is_refused_where_it_may_not_be_missing(self, kind):
        for event in Event.objects.filter(kind=kind):
            for name in event.data.keys() & needed(kind):
                less = {key: value for key, value in event.data.items() if key != name}
                refused(event, less, f"{name} is None; allowed: a member that is there")

    def test_a_member_of_another_type_is_refused(self, kind):
        for event in Event.objects.filter(kind=kind):
            for name, value in event.data.items():
                other_type = {"wrong": True} if isinstance(value, list) else [7]
                refused(event, {**event.data, name: other_type}, f"{name}")


def needed(kind):
    return {f.name for f in fields(KINDS[kind].payload) if f.default is MISSING}


def refused(event, data, says):
    """The same event with this data is refused, naming its kind and what does not fit."""
    other = Event(seq=event.seq, kind=event.kind, version=KINDS[event.kind].version, body=dumps(data))
    with pytest.raises(LogBroken, match=re.escape(f"event {event.seq} ({event.kind}): {says}")):
        payload_of(other)


def test_a_rebuild_gives_the_same_tables():
    state, due = rows(*state_models()), schedule()
    assert rebuild() == Event.objects.count()
    assert rows(*state_models()) == state
    assert schedule() == due


def test_derived_rows_are_refilled_after_they_are_lost():
    before = schedule()
    WaitEstimate.objects.all().delete()
    ReminderDue.objects.all().delete()
    refill(since=Turn.ESTIMATES)
    assert schedule() == before != []


def schedule():
    fields = ("wait", "task", "subject", "occasion", "kind", "person", "channel", "attempt", "due_at")
    estimates = WaitEstimate.objects.order_by("wait").values_list("wait", "ready_at", "closes_at")
    return [*estimates, *ReminderDue.objects.order_by(*fields).values_list(*fields)]


@pytest.mark.parametrize("every", [True, False], ids=["every field", "one field of each type and table"])
def test_a_change_by_sql_is_found_and_named(subtests, every):
    """One rebuild finds a changed row of each state table."""
    types, changes = set(), {}
    for model in state_models():
        fields = [f for f in model._meta.concrete_fields if not f.primary_key]
        fresh = next((f for f in fields if type(f) not in types), fields[0])
        types |= {type(f) for f in fields}
        changes[model] = fields if every else [fresh]
    with transaction.atomic():
        keys = {model: change(model, fields) for model, fields in changes.items()}
        found = {d.model: d for d in compare()}
        transaction.set_rollback(True)
    assert len(found) == len(changes)
    for model, fields in changes.items():
        with subtests.test(model=model.__name__):
            difference = found[model.__name__]
            named = {name for name in difference.live if difference.live[name] != difference.folded[name]}
            assert (difference.key, named) == (keys[model], {f.attname for f in fields})
            assert all(f"{name} is " in str(difference) for name in named)


def change(model, fields):
    """Change these fields of the last row past model and trigger; return its key."""
    row = model._default_manager.order_by("pk").last()
    for field in fields:
        set_column(model, row.pk, field.column, other(field, field.value_from_object(row)))
    return row.pk


def other(field, value):
    """Return another value of the same type, as SQL takes it."""
    if field.is_relation:
        return (value or 0) + 1
    if isinstance(field, CanonicalField):
        return '{"changed":true}'
    if isinstance(field, models.DateField):
        fresh = field.to_python("2001-01-01" if type(field) is models.DateField else "2001-01-01T00:00:00Z")
    elif isinstance(field, models.UUIDField):
        fresh = UUID(int=1)
    elif isinstance(field, models.BooleanField):
        fresh = not value
    elif isinstance(field, models.CharField | models.TextField):
        fresh = "y" if value == "x" else "x"
    else:
        fresh = (value or 0) + 1
    return field.get_db_prep_value(fresh, connection)


@pytest.mark.parametrize(
    "statement, found",
    [
        ("DELETE FROM jobs_notedismissal", "in the log, missing in the tables"),
        ("UPDATE jobs_notedismissal SET id = id + 1", "in the tables, not in the log"),
    ],
)
def test_a_lost_row_and_a_row_too_many_are_named(statement, found):
    run(statement)
    assert [str(d).partition(": ")[2] for d in compare()].count(found) >= 1
    assert {d.model for d in compare()} == {"NoteDismissal"}


def test_the_command_names_what_differs_and_rebuild_restores_it():
    pieces = Piece.objects.update(quantity=9)
    errors, out = StringIO(), StringIO()
    with pytest.raises(CommandError, match=f"{pieces} rows differ from the log"):
        call_command("rebuild", "--check", stderr=errors)
    assert "quantity is 9, by the log 1" in errors.getvalue()
    assert Piece.objects.filter(quantity=9).count() == pieces > 1
    call_command("rebuild", stdout=out)
    call_command("rebuild", "--check", stdout=out)
    assert out.getvalue().splitlines() == [
        f"rebuilt from {Event.objects.count()} events", "every state table is what the log says",
    ]  # fmt: skip


def test_comparing_changes_nothing():
    before = rows(*state_models(), Event, LogHead, WaitEstimate)
    compare()
    assert rows(*state_models(), Event, LogHead, WaitEstimate) == before
