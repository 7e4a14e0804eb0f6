"""Quiet hours: what waits for their end, what goes out before them, and what they do not hold."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from jobs.core.errors import Invalid
from jobs.domain.reminders.delivery import deliver_due
from jobs.domain.reminders.kinds import KINDS
from jobs.domain.reminders.quiet_hours import delivery_time, quiet_span
from jobs.domain.reminders.replies import snooze_reminder
from jobs.domain.workshop.accounts import change_person
from jobs.models import Person, ReminderDue
from tests.domain.reminders.conftest import HOUR, MINUTE
from tests.mailbox import mails_in

ZURICH = ZoneInfo("Europe/Zurich")


def clock(moment: datetime) -> str:
    return f"{timezone.localtime(moment):%H:%M}"


def quiet(bench, begin: datetime, end: datetime, **more: bool) -> None:
    person = Person.objects.get(id=bench.by.id)
    change_person(person, quiet_from=clock(begin), quiet_to=clock(end), **more)


def due(kind: str, channel: str = "mail") -> list[datetime]:
    return list(
        ReminderDue.objects.filter(kind=kind, channel=channel)
        .order_by("due_at")
        .values_list("due_at", flat=True)
    )


def test_what_is_ready_in_the_night_is_told_at_its_end_in_one_mail(bench, mail_folder):
    bench.glue_up()
    end = (bench.glued + 9 * HOUR).replace(second=0, microsecond=0)
    quiet(bench, bench.glued - HOUR, end)
    assert due("window opens") == [end] and end in due("ready")
    assert due("ready", "screen")[0] < end, "the screen is not held"
    assert deliver_due(bench.glued + 4 * HOUR) == 1, "its closing window: the wait began in quiet hours"
    assert deliver_due(end - MINUTE) == 0
    assert deliver_due(end) == 1
    assert "2 reminders" in mails_in(mail_folder)[-1]["Subject"]


def test_a_window_that_closes_in_the_night_is_told_before_it(bench):
    bench.glue_up()
    begin = (bench.glued + 45 * MINUTE).replace(second=0, microsecond=0)
    quiet(bench, begin, bench.glued + 6 * HOUR)
    assert due("window closes soon") == [begin]
    quiet(bench, begin, bench.glued + 6 * HOUR, wake_for_closing=True)
    assert due("window closes soon") == [bench.glued + 50 * MINUTE]


def test_nobody_is_woken_for_less_than_a_closing_window(bench):
    bench.glue_up()
    end = (bench.glued + 9 * HOUR).replace(second=0, microsecond=0)
    quiet(bench, bench.glued - HOUR, end, wake_for_closing=True)
    assert due("window opens") == [end]


def test_a_snooze_is_kept_to_the_moment_that_was_asked_for(bench):
    piece = bench.glue_up()
    quiet(bench, bench.glued - HOUR, bench.glued + 9 * HOUR)
    until = bench.glued + 5 * HOUR
    snooze_reminder(
        bench.call(), wait=bench.wait(piece, "unclamp").id, kind="ready", person=bench.by.id, until=until
    )
    assert until in due("ready")


@pytest.mark.parametrize("kind", ["safety task", "safety task at closing"])
def test_rags_do_not_wait(kind):
    person = Person(quiet_from="00:00", quiet_to="23:59")
    at = timezone.now().replace(hour=3)
    assert delivery_time(person, KINDS[kind], at, since=at) == at
    assert delivery_time(person, KINDS["ready"], at, since=at) > at


@pytest.mark.parametrize(
    "hours, at, span",
    [
        (("21:30", "06:30"), (3, 2, 23, 0), ((3, 2, 21, 30), (3, 3, 6, 30))),
        (("21:30", "06:30"), (3, 3, 6, 29), ((3, 2, 21, 30), (3, 3, 6, 30))),
        (("21:30", "06:30"), (3, 3, 6, 30), None),
        (("21:30", "06:30"), (3, 2, 21, 29), None),
        (("12:00", "13:00"), (3, 2, 12, 0), ((3, 2, 12, 0), (3, 2, 13, 0))),
        (("12:00", "12:00"), (3, 2, 12, 0), None),
        (("", ""), (3, 2, 12, 0), None),
        # The night in which the clock is put on (29 March 2026, 02:00 to 03:00) ends at the same clock time.
        (("21:30", "06:30"), (3, 29, 3, 30), ((3, 28, 21, 30), (3, 29, 6, 30))),
    ],
)
def test_the_span_of_quiet_hours(settings, hours, at, span):
    with timezone.override(ZURICH):
        person = Person(quiet_from=hours[0], quiet_to=hours[1])
        moment = datetime(2026, *at, tzinfo=ZURICH)
        wanted = span and tuple(datetime(2026, *end, tzinfo=ZURICH) for end in span)
        assert quiet_span(person, moment) == wanted


def test_a_quiet_time_is_a_time_of_day(bench):
    with pytest.raises(Invalid) as refused:
        change_person(bench.by, quiet_from="25:00")
    assert refused.value.field == "quiet_from"
