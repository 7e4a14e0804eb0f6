"""When reminders go out by mail, to whom, and when they do not."""

from datetime import timedelta

import pytest

from jobs.domain.clients.commands import change_client
from jobs.domain.commissions.commissions import move_commission
from jobs.domain.reminders.delivery import deliver_due
from jobs.domain.reminders.replies import acknowledge_reminder, snooze_reminder
from jobs.domain.stages.commands import reopen_stage
from jobs.domain.stages.wait_commands import finish_wait
from jobs.domain.workshop.accounts import change_person
from jobs.models import Delivery, Person, ReminderDue
from tests.domain.reminders.conftest import HOUR, MINUTE
from tests.mailbox import html_of, mails_in, text_of
from tests.shop_fixtures import PASSWORD, a_maker, a_price

MICROSECOND = timedelta(microseconds=1)


def test_each_reminder_goes_out_at_its_moment_and_not_before(bench, mail_folder):
    piece = bench.glue_up()
    for due, subject in [
        (bench.glued + 20 * MINUTE, "Squeeze-out scraped: window open since"),
        (bench.glued + 50 * MINUTE, "Squeeze-out scraped: window closes"),
        (bench.glued + 4 * HOUR, "Clamps off: ready since"),
    ]:
        before = len(mails_in(mail_folder))
        assert deliver_due(due - MICROSECOND) == 0
        assert deliver_due(due) == 1
        assert deliver_due(due) == 0
        assert deliver_due(due + MINUTE) == 0
        mails = mails_in(mail_folder)
        assert len(mails) == before + 1
        assert f"{piece.number} {subject}" in mails[-1]["Subject"]
        assert mails[-1]["To"] == "ines@shop.example"
    assert set(Delivery.objects.values_list("step", "late", "tries")) == {("sent", False, 1)}


def test_each_person_is_told_on_their_own(bench, mail_folder):
    a_maker(email="sam@shop.example")
    a_maker("quiet", email="quiet@shop.example", reminders_by_mail=False)
    a_maker("without-address")
    bench.glue_up()
    assert deliver_due(bench.glued + 20 * MINUTE) == 2
    assert {m["To"] for m in mails_in(mail_folder)} == {"ines@shop.example", "sam@shop.example"}


@pytest.mark.parametrize("change", [{"is_active": False}, {"reminders_by_mail": False}, {"email": ""}])
def test_who_left_or_wants_no_mail_gets_none(bench, mail_folder, change):
    sam = a_maker(email="sam@shop.example")
    bench.glue_up()
    change_person(sam, **change)
    assert deliver_due(bench.glued + 20 * MINUTE) == 1
    assert [m["To"] for m in mails_in(mail_folder)] == ["ines@shop.example"]


def test_the_person_is_looked_at_when_the_reminder_fires(bench, mail_folder):
    """Even where the schedule does not know yet."""
    bench.glue_up()
    Person.objects.update(is_active=False)
    assert ReminderDue.objects.filter(channel="mail").exists()
    assert deliver_due(bench.glued + 20 * MINUTE) == 0


def test_an_acknowledged_reminder_is_not_sent(bench, mail_folder):
    piece = bench.glue_up()
    wait = bench.wait(piece, "scrape")
    acknowledge_reminder(bench.call(), wait=wait.id, kind="window opens", person=bench.by.id)
    assert deliver_due(bench.glued + 20 * MINUTE) == 0
    assert deliver_due(bench.glued + 50 * MINUTE) == 1, "the other kind still comes"
    assert "closes" in mails_in(mail_folder)[0]["Subject"]


def test_a_snoozed_reminder_comes_again_as_the_second_attempt(bench, mail_folder):
    piece = bench.glue_up()
    wait = bench.wait(piece, "unclamp")
    ready = bench.glued + 4 * HOUR
    finish_wait(bench.call(), wait=bench.wait(piece, "scrape").id, reason="scraped early")
    assert deliver_due(ready) == 1
    bench.now = ready + MINUTE
    until = ready + HOUR
    snooze_reminder(bench.call(), wait=wait.id, kind="ready", person=bench.by.id, until=until)
    assert deliver_due(until - MICROSECOND) == 0
    assert deliver_due(until) == 1
    assert deliver_due(until + MINUTE) == 0
    assert list(Delivery.objects.order_by("attempt").values_list("attempt", "step", "late")) == [
        (1, "sent", False),
        (2, "sent", False),
    ]
    first, second = mails_in(mail_folder)
    assert first["Message-ID"] != second["Message-ID"]
    assert first["Subject"] == second["Subject"]


def test_a_reminder_snoozed_before_it_came_comes_only_then(bench, mail_folder):
    piece = bench.glue_up()
    wait = bench.wait(piece, "scrape")
    until = bench.glued + 30 * MINUTE
    snooze_reminder(bench.call(), wait=wait.id, kind="window opens", person=bench.by.id, until=until)
    assert deliver_due(until - MICROSECOND) == 0
    assert deliver_due(until) == 1


def test_a_wait_that_was_ended_early_says_nothing(bench):
    piece = bench.glue_up()
    for kind in ("scrape", "unclamp"):
        finish_wait(bench.call(), wait=bench.wait(piece, kind).id, reason="a test piece broke in the wood")
    assert deliver_due(bench.glued + 5 * HOUR) == 0
    assert not Delivery.objects.exists()


def test_a_reopened_stage_takes_its_reminders_along_and_makes_new_ones(bench, mail_folder):
    piece = bench.glue_up()
    old = bench.wait(piece, "scrape").id
    reopen_stage(bench.call(), piece=piece.number, stage="glue-up", reason="a joint slipped")
    assert deliver_due(bench.glued + 5 * HOUR) == 0
    bench.go(minutes=30)
    bench.finish(piece, "glue-up", measured={"glue_lot": "L-18"})
    assert bench.wait(piece, "scrape").id != old
    assert deliver_due(bench.now + 20 * MINUTE - MICROSECOND) == 0
    assert deliver_due(bench.now + 20 * MINUTE) == 1
    assert len(mails_in(mail_folder)) == 1


def test_a_cancelled_commission_is_quiet(bench):
    piece = bench.glue_up()
    number = piece.commission.number
    assert ReminderDue.objects.exists()
    move_commission(bench.call(), commission=number, to="cancelled", reason="the client moved away")
    assert not ReminderDue.objects.exists()
    assert deliver_due(bench.glued + 20 * MINUTE) == 0


def test_a_joint_that_is_suspect_has_no_time_and_no_reminder(bench):
    piece = bench.accepted(glue="hour-glue", finish_face="quick-finish")
    bench.do_until(piece, "dry-fit")
    bench.start(
        piece, "glue-up",
        measured={"shop_temperature": "5 C", "wood_and_glue_warm": "yes"},
        override={"shop_temperature": "heater on order, trying all the same"},
    )  # fmt: skip
    bench.finish(piece, "glue-up", measured={"glue_lot": "L-17"})
    assert bench.wait(piece, "unclamp").suspect
    assert deliver_due(bench.now + 24 * HOUR) == 0


def test_the_mail_leaves_no_secret_behind(bench, mail_folder):
    piece = bench.glue_up()
    a_price(bench.call(), piece.commission)
    change_client(bench.call(), client=piece.commission.client.id, name="Orla Fenwick", phone="0171 230")
    assert deliver_due(bench.glued + 20 * MINUTE) == 1
    (mail,) = mails_in(mail_folder)
    said = "\n".join([str(mail["Subject"]), text_of(mail), html_of(mail)])
    assert piece.number in said
    for word in (PASSWORD, "Orla Fenwick", "0171 230", "1000", "1,000", "1100", "1,100"):
        assert word not in said
