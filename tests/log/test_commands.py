"""A command: one transaction, one place in the chain, once for each key."""

import threading
from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection

from jobs.core.errors import ClockAhead, Invalid, KeyReused, NotFound, Stale, WrongState
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.clients.commands import add_client, change_client
from jobs.domain.commissions.commissions import change_commission
from jobs.log.commands import verify_log
from jobs.log.projections.kinds import KINDS
from jobs.models import Client, CommandKey, Event, LogHead, OutboxMessage, PrivateText
from tests.shop_fixtures import NOON, a_call, a_client, a_commission, accept_bare

pytestmark = [pytest.mark.both_databases, pytest.mark.django_db]


def traces() -> dict[str, object]:
    """Return everything that a refused command could have left behind."""
    head = LogHead.objects.first() or LogHead()
    tables = (Event, PrivateText, CommandKey, OutboxMessage, Client)
    return {"seq": head.seq, "hash": head.hash, **{m.__name__: m.objects.count() for m in tables}}


def test_an_event_carries_everything_of_its_call():
    at, now = NOON, NOON + timedelta(minutes=3)
    event = add_client(a_call("person-1", at, now), name="Orla Fenwick").events[0]
    stored = Event.objects.get()
    assert (stored.seq, stored.kind, stored.version, stored.stream) == (1, "client_added", 2, "client:1000")
    assert (stored.actor, stored.occurred_at, stored.recorded_at) == ("person-1", at, now)
    assert stored.hash == event.hash
    assert (LogHead.objects.get().seq, LogHead.objects.get().hash) == (1, event.hash)


def test_all_events_of_one_command_share_its_id():
    commission = a_commission(a_call("shop"), a_client(a_call("shop")))
    ids = list(Event.objects.values_list("command_id", flat=True))
    assert len(set(ids)) == 2
    assert commission.version == 2


def test_a_refusal_leaves_nothing():
    a_commission(a_call("shop"), a_client(a_call("shop")))
    before = traces()
    with pytest.raises(NotFound):
        change_client(a_call("shop", key="k1"), client=77, name="Ghost")
    with pytest.raises(Invalid):  # the name's text is already stored when the address is refused
        add_client(a_call("shop", key="k2"), name="Orla", address="x" * 1001)
    with pytest.raises(WrongState):
        issue_invoice(a_call("shop", key="k3"), commission="2026-001")
    assert traces() == before


def test_a_failure_in_the_middle_leaves_nothing(monkeypatch):
    def broken(payload, event):
        raise RuntimeError("power cut")

    before = traces()
    monkeypatch.setattr(KINDS["client_added"].payload, "project", broken)
    with pytest.raises(RuntimeError):
        add_client(a_call("shop", key="k"), name="Orla Fenwick")
    assert traces() == before


class TestKeys:
    def test_the_same_key_and_request_give_the_same_events(self):
        call = a_call("person-1", key="k", fingerprint="POST a")
        first = add_client(call, name="Orla Fenwick")
        before = traces()
        again = add_client(call, name="Orla Fenwick")
        assert again.replayed and not first.replayed
        assert [e.hash for e in again.events] == [e.hash for e in first.events]
        assert traces() == before

    def test_a_replay_answers_though_the_state_has_moved_on(self):
        commission = a_commission(a_call("shop"), a_client(a_call("shop")))
        move = a_call("person-1", key="k", fingerprint="accept", seen=commission.version)
        first = accept_bare(move, commission=commission.number)
        change_commission(a_call("shop"), commission=commission.number, notes="later")
        again = accept_bare(move, commission=commission.number)
        assert again.replayed and [e.seq for e in again.events] == [e.seq for e in first.events]

    def test_the_same_key_with_another_request_is_refused(self):
        add_client(a_call("person-1", key="k", fingerprint="POST a"), name="Orla Fenwick")
        before = traces()
        with pytest.raises(KeyReused) as refused:
            add_client(a_call("person-1", key="k", fingerprint="POST b"), name="Mirek Dvorsky")
        assert (refused.value.status, refused.value.field) == (422, "Idempotency-Key")
        assert traces() == before

    def test_a_key_belongs_to_one_person(self):
        add_client(a_call("person-1", key="k", fingerprint="a"), name="Orla Fenwick")
        assert not add_client(a_call("person-2", key="k", fingerprint="b"), name="Mirek Dvorsky").replayed

    def test_a_failure_is_not_remembered(self):
        with pytest.raises(Invalid):
            add_client(a_call("person-1", key="k", fingerprint="a"), name=" ")
        assert not add_client(a_call("person-1", key="k", fingerprint="b"), name="Orla Fenwick").replayed

    def test_without_a_key_nothing_is_remembered(self):
        assert not add_client(a_call("person-1"), name="Orla Fenwick").replayed
        assert not add_client(a_call("person-1"), name="Orla Fenwick").replayed
        assert CommandKey.objects.count() == 0

    def test_the_fingerprint_is_kept_only_as_a_salted_hash(self):
        add_client(a_call("person-1", key="k", fingerprint="Orla Fenwick"), name="Orla Fenwick")
        kept = CommandKey.objects.get()
        assert "Orla" not in kept.fingerprint and len(kept.fingerprint) == 64

    @pytest.mark.parametrize("key", ["x" * 201, "a\nb", "a\x00b", "\ud800"])
    def test_a_key_that_cannot_be_kept_is_refused(self, key):
        with pytest.raises(Invalid, match="key"):
            a_call("person-1", key=key)


class TestClocks:
    @pytest.mark.parametrize("ahead", [timedelta(0), timedelta(minutes=5)])
    def test_up_to_five_minutes_ahead_is_taken(self, ahead):
        done = add_client(a_call("shop", NOON + ahead, NOON), name="Orla Fenwick")
        assert done.events[0].occurred_at == NOON + ahead and done.notices == []

    def test_further_ahead_is_refused(self):
        with pytest.raises(ClockAhead) as refused:
            a_call("shop", NOON + timedelta(minutes=5, microseconds=1), NOON)
        assert (refused.value.field, refused.value.status) == ("at", 422)

    def test_what_happened_long_ago_may_be_recorded_now(self):
        event = add_client(a_call("shop", NOON - timedelta(days=30), NOON), name="Orla Fenwick").events[0]
        assert (event.occurred_at, event.recorded_at) == (NOON - timedelta(days=30), NOON)

    def test_a_shop_clock_behind_the_head_gives_a_notice_and_the_event_is_kept(self):
        add_client(a_call("shop", NOON), name="Orla Fenwick")
        done = add_client(a_call("shop", NOON - timedelta(hours=1)), name="Mirek Dvorsky")
        assert len(done.notices) == 1 and "behind the last event" in done.notices[0]
        assert [e.seq for e in Event.objects.all()] == [1, 2]
        assert verify_log().count == 2

    @pytest.mark.parametrize("field", ["at", "now"])
    def test_a_naive_time_is_refused(self, field):
        times = {"at": NOON, "now": NOON} | {field: datetime(2026, 3, 2, 12)}
        with pytest.raises(Invalid, match="time zone"):
            a_call("shop", **times)

    def test_order_is_seq_not_time(self):
        for minutes in (3, 1, 2):
            add_client(a_call("shop", NOON - timedelta(minutes=minutes), NOON), name="Orla Fenwick")
        assert [e.occurred_at.minute for e in Event.objects.all()] == [57, 59, 58]


class TestSeen:
    def test_the_version_somebody_saw_has_to_be_the_present_one(self):
        client = a_client(a_call("shop"))
        change_client(a_call("shop", seen=client.version), client=client.id, phone="555 0100")
        with pytest.raises(Stale) as refused:
            change_client(a_call("shop", seen=client.version), client=client.id, phone="555 0101")
        assert (refused.value.status, refused.value.value, refused.value.allowed) == (409, 1, "2")

    def test_what_happens_elsewhere_does_not_make_it_stale(self):
        client = a_client(a_call("shop"))
        mine = a_commission(a_call("shop"), client)
        a_commission(a_call("shop"), client)
        change_commission(a_call("shop", seen=mine.version), commission=mine.number, notes="still mine")


@pytest.mark.django_db(transaction=True)
class TestTogether:
    def test_eight_people_at_once_leave_no_gap(self):
        at_once, each = 8, 12
        failures = self.all_at_once(at_once, lambda n: [self.one(n, k) for k in range(each)])
        assert failures == []
        assert [e.seq for e in Event.objects.all()] == list(range(1, at_once * each + 1))
        assert verify_log().count == at_once * each
        assert Client.objects.count() == at_once * each

    def test_one_key_from_eight_sides_is_carried_out_once(self):
        call = a_call("person-1", key="k", fingerprint="a")
        done = []
        failures = self.all_at_once(8, lambda n: done.append(add_client(call, name="Orla Fenwick")))
        assert failures == []
        assert sorted(d.replayed for d in done) == [False] + [True] * 7
        assert {d.events[0].hash for d in done} == {Event.objects.get().hash}

    def test_of_two_who_saw_the_same_one_is_stale(self):
        client = a_client(a_call("shop"))
        call = a_call("shop", seen=client.version)
        failures = self.all_at_once(2, lambda n: change_client(call, client=client.id, phone=f"555 010{n}"))
        assert [type(f) for f in failures] == [Stale]

    def one(self, n, k):
        add_client(a_call(f"person-{n}", datetime.now(UTC), key=f"{k}"), name=f"Client {n} {k}")

    def all_at_once(self, count, work):
        failures, together = [], threading.Barrier(count)

        def run(n):
            together.wait()
            try:
                work(n)
            except Exception as failure:
                failures.append(failure)
            finally:
                connection.close()

        threads = [threading.Thread(target=run, args=(n,)) for n in range(count)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        return failures
