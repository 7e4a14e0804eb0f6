"""Each person's reminder preferences: channel, lead time, repeats, and whether a reminder may wake them."""

import pytest

from jobs.core.errors import Invalid
from jobs.domain.reminders.delivery import deliver_due
from jobs.domain.reminders.kinds import KINDS
from jobs.domain.reminders.preferences import MOST_REPEATS, set_wishes, wishes_of
from jobs.domain.reminders.replies import acknowledge_reminder
from jobs.domain.workshop.accounts import change_person
from jobs.models import Delivery, Person, ReminderPreference
from tests.domain.reminders.conftest import HOUR, MINUTE
from tests.domain.reminders.test_quiet import due, quiet
from tests.mailbox import mails_in
from tests.shop_fixtures import a_maker


def test_every_kind_has_a_usual_way_and_money_and_promises_are_the_owners(bench):
    assert list(wishes_of(bench.by)) == list(KINDS)
    owners = {"payment due", "quote unanswered", "client said yes", "client said no", "promise off plan"}
    assert set(KINDS) - set(wishes_of(a_maker())) == owners


def test_a_kind_without_mail_comes_on_screen_alone(bench):
    bench.glue_up()
    set_wishes(bench.by, {"window opens": {"by_mail": False}})
    assert due("window opens") == [] and len(due("window opens", "screen")) == 1
    assert deliver_due(bench.glued + 20 * MINUTE) == 0
    assert deliver_due(bench.glued + 50 * MINUTE) == 1


def test_it_comes_earlier_and_says_that_it_is_ahead(bench, mail_folder):
    bench.glue_up()
    set_wishes(bench.by, {"ready": {"lead_min": 30}})
    ready = bench.glued + 4 * HOUR
    assert ready - HOUR / 2 in due("ready") and ready in due("ready", "screen")
    deliver_due(bench.glued + HOUR)
    assert deliver_due(ready - HOUR / 2) == 1
    assert mails_in(mail_folder)[-1]["Subject"].endswith(f"Clamps off: ready {ready:%H:%M}")
    assert deliver_due(ready) == 0


def test_it_is_repeated_until_it_is_answered(bench, mail_folder):
    piece = bench.glue_up()
    set_wishes(bench.by, {"window opens": {"repeat_min": 5}})
    opens = bench.glued + 20 * MINUTE
    assert due("window opens", "screen") == [opens], "a screen shows it until it is answered"
    for n in range(3):
        assert deliver_due(opens + n * 5 * MINUTE) == 1
        assert deliver_due(opens + n * 5 * MINUTE + MINUTE) == 0
    attempts = Delivery.objects.filter(kind="window opens").order_by("id").values_list("attempt", flat=True)
    assert list(attempts) == [1, 1001, 2001]
    assert len({m["Message-ID"] for m in mails_in(mail_folder)}) == 3
    wait = bench.wait(piece, "scrape")
    acknowledge_reminder(bench.call(), wait=wait.id, kind="window opens", person=bench.by.id)
    assert deliver_due(opens + 25 * MINUTE) == 0


def test_repeats_end_and_a_night_of_them_is_one_mail(bench, mail_folder):
    bench.glue_up()
    set_wishes(bench.by, {"ready": {"repeat_min": 5}, "window opens": {"by_mail": False}})
    set_wishes(bench.by, {"window closes soon": {"by_mail": False}})
    ready = bench.glued + 4 * HOUR
    assert len([d for d in due("ready") if d >= ready]) == 1 + MOST_REPEATS
    assert deliver_due(ready + 8 * HOUR) == 1
    assert "reminders" not in mails_in(mail_folder)[0]["Subject"], "they are one thing, told once"
    assert deliver_due(ready + 24 * HOUR) == 0


def test_quiet_hours_hold_repeats_too(bench):
    bench.glue_up()
    end = (bench.glued + 9 * HOUR).replace(second=0, microsecond=0)
    quiet(bench, bench.glued + 30 * MINUTE, end)
    set_wishes(Person.objects.get(id=bench.by.id), {"window opens": {"repeat_min": 60}})
    opens = bench.glued + 20 * MINUTE
    assert due("window opens") == [opens, end], "of those that the night holds back one is left"


def test_what_may_wake_wakes(bench):
    bench.glue_up()
    quiet(bench, bench.glued - HOUR, bench.glued + 9 * HOUR)
    set_wishes(Person.objects.get(id=bench.by.id), {"window opens": {"may_wake": True}})
    assert due("window opens") == [bench.glued + 20 * MINUTE]


def test_the_closing_window_has_one_switch(bench):
    set_wishes(bench.by, {"window closes soon": {"may_wake": True}})
    assert Person.objects.get(id=bench.by.id).wake_for_closing
    change_person(bench.by, wake_for_closing=False)
    assert not wishes_of(bench.by)["window closes soon"].may_wake


@pytest.mark.parametrize(
    "kind, wish, field",
    [
        ("ready", {"lead_min": 1441}, "lead_min"),
        ("ready", {"lead_min": -1}, "lead_min"),
        ("too cold", {"lead_min": 5}, "lead_min"),
        ("ready", {"repeat_min": 4}, "repeat_min"),
        ("not yet", {"repeat_min": 10}, "repeat_min"),
        ("safety task", {"may_wake": False}, "may_wake"),
        ("lunch", {"by_mail": False}, "kind"),
    ],
)
def test_what_cannot_be_wished_is_refused_and_nothing_is_kept(bench, kind, wish, field):
    with pytest.raises(Invalid) as refused:
        set_wishes(bench.by, {"window opens": {"by_mail": False}, kind: wish})
    assert refused.value.field == field
    assert not ReminderPreference.objects.exists()
