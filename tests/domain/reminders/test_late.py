"""After a pause without sweeps: late reminders go out once, together, and say so; skipped ones do not."""

import pytest
from django.core.management import call_command
from django.db import connection

from jobs.domain.reminders.delivery import deliver_due
from jobs.domain.reminders.pending import LATE, skip_past_due
from jobs.log.transfer import export_to, import_from
from jobs.models import Delivery
from tests.domain.reminders.conftest import HOUR, MINUTE
from tests.domain.reminders.test_due import MICROSECOND
from tests.flush import no_triggers
from tests.mailbox import mails_in, text_of
from tests.shop_fixtures import a_maker

pytestmark = pytest.mark.django_db


def test_late_begins_after_ten_minutes(bench, mail_folder):
    a_maker(email="sam@shop.example")
    bench.glue_up()
    due = bench.glued + 20 * MINUTE
    assert deliver_due(due + LATE) == 2
    assert [m["Subject"].startswith("Late:") for m in mails_in(mail_folder)] == [False, False]
    assert not Delivery.objects.filter(late=True).exists()


def test_a_late_one_says_when_it_was_due_and_goes_out_once(bench, mail_folder):
    piece = bench.glue_up()
    due = bench.glued + 20 * MINUTE
    assert deliver_due(due + LATE + MICROSECOND) == 1
    assert deliver_due(due + HOUR / 3) == 0
    (mail,) = mails_in(mail_folder)
    assert mail["Subject"].startswith(f"Late: {piece.number} Squeeze-out scraped: window open since")
    assert f"This reminder was due at {due:%H:%M} UTC; it comes late." in text_of(mail)
    assert Delivery.objects.get().late


def test_several_late_ones_of_one_person_come_in_one_mail(bench, mail_folder):
    sam = a_maker(email="sam@shop.example")
    first, second = bench.glue_up(label="Long table"), None
    begun = bench.glued
    bench.now = begun + MINUTE
    second = bench.glue_up(label="Counter")
    bench.now = bench.glued + 5 * HOUR
    assert deliver_due(bench.now) == 2, "one for each person"
    assert deliver_due(bench.now + MINUTE) == 0
    mails = {m["To"]: m for m in mails_in(mail_folder)}
    assert set(mails) == {"ines@shop.example", "sam@shop.example"}
    mail = mails["sam@shop.example"]
    assert mail["Subject"].startswith("Late: 4 reminders, the first was due ")
    text = text_of(mail)
    assert text.count("it comes late.") == 4
    for number in (first.number, second.number):
        assert f"Piece: {number}, " in text
    rows = Delivery.objects.filter(person=sam.id)
    assert rows.count() == 6, "each reminder is in the ledger: opens, closes soon, ready, for both pieces"
    assert set(rows.values_list("message_id", "step", "late")) == {(mail["Message-ID"], "sent", True)}


def test_one_on_time_is_not_mixed_with_the_late_ones(bench, mail_folder):
    bench.glue_up()
    assert deliver_due(bench.glued + 4 * HOUR) == 2
    late, on_time = sorted((m["Subject"] for m in mails_in(mail_folder)), key=lambda s: "Clamps" in s)
    assert late.startswith("Late: ") and "window closed" in late
    assert "Clamps off: ready since" in on_time and "Late" not in on_time


def test_what_was_past_when_the_log_was_loaded_is_not_sent(bench, mail_folder):
    bench.glue_up()
    assert skip_past_due(bench.glued + HOUR) == 2
    assert skip_past_due(bench.glued + HOUR) == 0
    assert deliver_due(bench.glued + HOUR) == 0
    assert mails_in(mail_folder) == []
    assert deliver_due(bench.glued + 4 * HOUR) == 1, "what came due later is sent"
    assert set(Delivery.objects.values_list("kind", "step")) == {
        ("window opens", "skipped"), ("window closes soon", "skipped"), ("ready", "sent"),
    }  # fmt: skip


def test_forgiving_leaves_a_mail_on_its_way_alone(bench):
    bench.glue_up()
    deliver_due(bench.glued + 20 * MINUTE)
    assert skip_past_due(bench.glued + 20 * MINUTE) == 0
    assert Delivery.objects.get().step == "sent"


@pytest.mark.both_databases
@pytest.mark.django_db(transaction=True)
def test_an_import_sends_nothing_of_the_past_and_a_second_export_is_the_same(
    new_bench, mail_folder, tmp_path
):
    bench = new_bench()
    bench.glue_up()
    deliver_due(bench.glued + 20 * MINUTE)
    there, back = tmp_path / "there", tmp_path / "back"
    export_to(there)
    with no_triggers(connection):
        call_command("flush", interactive=False, verbosity=0)
    import_from(there, now=bench.glued + HOUR, settle=skip_past_due)
    assert deliver_due(bench.glued + HOUR) == 0
    assert deliver_due(bench.glued + 4 * HOUR - MICROSECOND) == 0
    export_to(back)
    assert deliver_due(bench.glued + 4 * HOUR) == 1
    assert len(mails_in(mail_folder)) == 2
    for path in there.rglob("*"):
        if path.is_file():
            assert (back / path.relative_to(there)).read_bytes() == path.read_bytes(), path.name
