"""Claimed, sent, recorded: with two senders at once, with a sender that dies, with a server that refuses."""

import json
import os
import signal
import smtplib
import subprocess
import sys
import threading
from collections import Counter
from datetime import timedelta
from urllib.parse import quote

import pytest
import redis
from django.conf import settings
from django.core.management import call_command
from django.db import connection

from jobs.core import broker
from jobs.domain.reminders.delivery import FIRST_DELAY, LEASE, claim, deliver_due, resend
from jobs.domain.reminders.queries import undelivered
from jobs.domain.reminders.replies import acknowledge_reminder
from jobs.log.leases import hold
from jobs.log.outbox import CLAIM, LONGEST_DELAY
from jobs.models import Delivery, Lease, ReminderDue
from shop.env import BASE_DIR
from tests.domain.reminders.conftest import HOUR, MINUTE
from tests.domain.reminders.test_due import MICROSECOND
from tests.mailbox import MailServer, mails_in
from tests.needs import needs
from tests.shop_fixtures import NOON, a_maker


@pytest.fixture
def server(settings):
    with MailServer() as server:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
        settings.EMAIL_TIMEOUT = 10
        yield server


def together(work, count):
    """Return what ``count`` threads got that all started at one moment."""
    start, got, problems = threading.Barrier(count), [], []

    def run():
        try:
            start.wait()
            got.append(work())
        except Exception as problem:
            problems.append(problem)
        finally:
            connection.close()

    threads = [threading.Thread(target=run) for _ in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert problems == []
    return got


@pytest.mark.both_databases
@pytest.mark.django_db(transaction=True)
def test_two_sweeps_at_once_send_one_mail(new_bench, mail_folder):
    bench = new_bench()
    bench.glue_up()
    assert sum(together(lambda: deliver_due(bench.glued + 20 * MINUTE), 2)) == 1
    assert len(mails_in(mail_folder)) == 1


@pytest.mark.both_databases
@pytest.mark.django_db(transaction=True)
def test_claims_alone_keep_two_senders_apart(new_bench):
    """Without the lease: a sender that outlived it must not share a mail with its successor."""
    bench = new_bench()
    for name in ("sam", "kit", "lou"):
        a_maker(name, email=f"{name}@shop.example")
    bench.glue_up()
    now = bench.glued + 20 * MINUTE

    def take_all():
        taken = []
        while claimed := claim(now):
            taken.append(claimed.message_id)
        return taken

    taken = [one for some in together(take_all, 4) for one in some]
    assert len(taken) == len(set(taken))
    rest = take_all()
    assert len({*taken, *rest}) == 4 == len(taken) + len(rest)
    assert list(Delivery.objects.values_list("tries", flat=True)) == [1, 1, 1, 1]


@pytest.mark.both_databases
@pytest.mark.django_db(transaction=True)
def test_one_of_many_gets_the_lease():
    gate = threading.Barrier(4)

    def try_it():
        with hold("sweep", now=NOON, length=LEASE) as mine:
            gate.wait()
            return mine

    assert sorted(bool(holder) for holder in together(try_it, 4)) == [False, False, False, True]


@pytest.mark.both_databases
@pytest.mark.django_db(transaction=True)
def test_a_lease_ends_with_its_block_or_its_time():
    with hold("sweep", now=NOON, length=LEASE) as first:
        assert first
        with hold("sweep", now=NOON + LEASE - MICROSECOND, length=LEASE) as too_early:
            assert not too_early
        with hold("sweep", now=NOON + LEASE, length=LEASE) as after_a_death:
            assert after_a_death
    assert Lease.objects.get().until == NOON + LEASE, "the dead holder's end leaves the new holder's lease"
    with hold("sweep", now=NOON + LEASE, length=LEASE) as again:
        assert again


@pytest.mark.django_db
def test_a_lease_from_a_clock_that_was_put_back_counts_as_free():
    Lease.objects.create(name="sweep", holder="x", until=NOON + timedelta(days=1))
    with hold("sweep", now=NOON, length=LEASE) as mine:
        assert mine


@pytest.mark.both_databases
@pytest.mark.django_db(transaction=True)
def test_a_sender_killed_between_sending_and_recording_repeats_it_once_with_the_same_id(new_bench, server):
    """The mail server kills the real sending process after it took the mail and before it answers."""
    bench = new_bench()
    bench.glue_up()
    now = bench.glued + 20 * MINUTE
    sender = deliver_in_a_process(now, server)
    server.on_data = lambda _: os.kill(sender.pid, signal.SIGKILL)
    assert sender.wait(60) == -signal.SIGKILL
    assert len(server.mails) == 1
    server.on_data = lambda _: None
    row = Delivery.objects.get()
    assert (row.step, row.sent_at, row.tries) == ("claimed", None, 1)

    assert deliver_due(now + CLAIM - MICROSECOND) == 0
    assert deliver_due(now + CLAIM) == 1
    assert deliver_due(now + CLAIM + HOUR / 4) == 0
    row.refresh_from_db()
    assert (row.step, row.tries, row.message_id) == ("sent", 2, server.mails[0]["Message-ID"])
    assert [m["Message-ID"] for m in server.mails] == [row.message_id] * 2


def deliver_in_a_process(now, server):
    """Start a real process that sweeps once, over the database of this test."""
    database = connection.settings_dict
    if connection.vendor == "sqlite":
        url = f"sqlite:///{database['NAME']}"
    else:
        host = quote(str(database["HOST"]), safe="")
        url = f"postgres://{database['USER']}:{database['PASSWORD']}@{host}:{database['PORT']}/{database['NAME']}"
    program = (
        "import django, sys; from datetime import datetime; django.setup();"
        "from jobs.domain.reminders.delivery import deliver_due; "
        "deliver_due(datetime.fromisoformat(sys.argv[1]))"
    )
    env = {
        **os.environ, "DJANGO_SETTINGS_MODULE": "shop.settings", "SHOP_DATABASE_URL": url,
        "SHOP_SMTP_URL": f"smtp://127.0.0.1:{server.port}",
    }  # fmt: skip
    return subprocess.Popen([sys.executable, "-c", program, now.isoformat()], env=env, cwd=BASE_DIR)


@needs("redis")
@pytest.mark.django_db(transaction=True)
def test_a_worker_that_is_to_end_wakes_another_for_what_it_leaves(
    new_bench, mail_folder, redis_url, monkeypatch
):
    monkeypatch.setattr(broker, "_alone_until", 0.0)  # an earlier test had a broker that did not answer
    bench = new_bench()
    bench.glue_up()
    queue = redis.from_url(settings.REDIS_URL)
    for stops, left in ((True, ["jobs.tasks.sweep"]), (False, [])):
        queue.delete("celery")
        assert deliver_due(bench.glued + 20 * MINUTE, stop=lambda stops=stops: stops) == int(not stops)
        told = [json.loads(message)["headers"]["task"] for message in queue.lrange("celery", 0, -1)]
        assert told == left
    assert len(mails_in(mail_folder)) == 1


@pytest.mark.django_db
def test_a_lost_claim_is_not_repeated_once_the_reminder_was_answered(bench, server):
    piece = bench.glue_up()
    now = bench.glued + 20 * MINUTE
    assert claim(now) is not None
    wait = bench.wait(piece, "scrape")
    acknowledge_reminder(bench.call(), wait=wait.id, kind="window opens", person=bench.by.id)
    assert deliver_due(now + CLAIM) == 0
    assert server.mails == []
    row = Delivery.objects.get()
    assert (row.step, row.next_at) == ("skipped", None)
    assert row.error == "it was answered or ended before it could be sent"


@pytest.mark.django_db
def test_a_lost_digest_is_repeated_as_it_was(bench, server):
    bench.glue_up()
    now = bench.glued + 2 * HOUR
    lost = claim(now)
    assert lost is not None and len(lost.deliveries) == 2
    assert deliver_due(now + CLAIM) == 1
    (mail,) = server.mails
    assert mail["Message-ID"] == lost.message_id
    assert set(Delivery.objects.values_list("step", "tries")) == {("sent", 2)}


@pytest.mark.django_db
def test_a_server_that_is_away_is_tried_again_after_a_growing_delay(bench, settings):
    bench.glue_up()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1  # nothing listens there
    now = bench.glued + 20 * MINUTE
    for tries, delay in [(1, 1), (2, 2), (3, 4), (4, 8)]:
        assert deliver_due(now) == 0
        row = Delivery.objects.get()
        assert (row.step, row.tries, row.next_at) == ("failed", tries, now + delay * FIRST_DELAY)
        assert "ConnectionRefusedError" in row.error
        assert deliver_due(row.next_at - MICROSECOND) == 0
        row.refresh_from_db()
        assert row.tries == tries, "not before its time"
        now = row.next_at


@pytest.mark.django_db
def test_after_an_outage_one_mail_holds_what_was_missed(bench, server, settings):
    bench.glue_up()
    settings.EMAIL_PORT = 1
    for minutes in (20, 50, 240):
        deliver_due(bench.glued + minutes * MINUTE)
    failed = Delivery.objects.filter(step="failed")
    assert failed.count() == 2, "a server that is away ends the sweep"
    settings.EMAIL_PORT = server.port
    assert deliver_due(bench.glued + 6 * HOUR) == 1
    (mail,) = server.mails
    assert mail["Subject"].startswith("Late: 2 reminders"), "two waits"
    assert set(Delivery.objects.values_list("step", "late", "error")) == {("sent", True, "")}


@pytest.mark.django_db
def test_tries_end_and_are_listed(bench, server, capsys):
    server.refuse_address = "ines@shop.example"
    piece = bench.glue_up()
    now = bench.glued + 4 * HOUR
    finished = bench.wait(piece, "scrape")
    acknowledge_reminder(bench.call(), wait=finished.id, kind="window opens", person=bench.by.id)
    acknowledge_reminder(bench.call(), wait=finished.id, kind="window closes soon", person=bench.by.id)
    for _ in range(24):  # for about a day: after 1, 2, 4 … 32 minutes, then hourly
        assert deliver_due(now) == 0
        now += LONGEST_DELAY
    assert Delivery.objects.get().step == "given up", "with the last try"
    assert deliver_due(now) == 0
    row = Delivery.objects.get()
    assert (row.step, row.tries, row.next_at, row.sent_at) == ("given up", 24, None, None)
    (listed,) = undelivered()
    assert (listed["piece"], listed["person"], listed["given_up"]) == (piece.number, "Ines", True)
    assert "550" in listed["error"] and "ines@shop.example" not in listed["error"]
    call_command("undelivered")
    assert f"{piece.number} Glue holding, clamps stay on (ready) for Ines by mail" in capsys.readouterr().out


@pytest.mark.django_db
def test_a_sender_that_ends_each_time_is_given_up(bench, server):
    bench.glue_up()
    now = bench.glued + 20 * MINUTE
    for _ in range(24):
        assert claim(now) is not None
        now += CLAIM
    assert deliver_due(now) == 1, "its closing window is another reminder"
    row = Delivery.objects.get(kind="window opens")
    assert (row.step, row.tries, row.error) == ("given up", 24, "the sender ended each time")


@pytest.mark.django_db
def test_a_mail_holds_at_most_a_hundred_reminders(bench, server):
    bench.glue_up()
    now = bench.glued + 20 * MINUTE
    (row,) = ReminderDue.objects.filter(kind="window opens", channel="mail")
    for attempt in range(2, 102):
        row.pk, row.attempt = None, attempt
        row.save()
    assert deliver_due(now) == 2
    sizes = Counter(Delivery.objects.values_list("message_id", flat=True)).values()
    assert sorted(sizes) == [1, 100]


@pytest.mark.django_db
def test_one_refused_address_does_not_hold_up_the_others(bench, server, caplog):
    a_maker(email="sam@shop.example")
    server.refuse_address = "ines@shop.example"
    bench.glue_up()
    assert deliver_due(bench.glued + 20 * MINUTE) == 1
    assert [m["To"] for m in server.mails] == ["sam@shop.example"]
    assert sorted(Delivery.objects.values_list("step", flat=True)) == ["failed", "sent"]
    assert f"reminder for {bench.by.id} not sent" in caplog.text


@pytest.mark.django_db
def test_a_line_that_breaks_after_the_mail_was_handed_over_is_tried_with_the_same_id(bench, server):
    """Nobody knows whether it went out, so the receiving side must be able to see that it is the same."""
    bench.glue_up()
    now = bench.glued + 20 * MINUTE
    server.on_data = lambda session: session.transport.abort()
    assert deliver_due(now) == 0
    row = Delivery.objects.get()
    assert (row.step, row.next_at) == ("claimed", now + FIRST_DELAY)
    assert smtplib.SMTPServerDisconnected.__name__ in row.error
    assert [one["error"] for one in undelivered()] == [row.error]
    resend(row.id, now=now + MICROSECOND)  # by hand it keeps its id too
    server.on_data = lambda _: None
    assert deliver_due(now + MICROSECOND) == 1
    assert {m["Message-ID"] for m in server.mails} == {row.message_id}
    assert undelivered() == []


@pytest.mark.django_db
def test_ids_differ_by_reminder_and_by_shop_and_stay_the_same(bench, server):
    a_maker(email="sam@shop.example")
    bench.glue_up()
    for minutes in (20, 50):
        deliver_due(bench.glued + minutes * MINUTE)
    first = [m["Message-ID"] for m in server.mails]
    assert len(set(first)) == 4
    Delivery.objects.all().delete()
    for minutes in (20, 50):
        deliver_due(bench.glued + minutes * MINUTE)
    assert [m["Message-ID"] for m in server.mails[4:]] == first
