"""A time already sent that moves: one "not yet", then the reminder once more; and news of the cold."""

from datetime import datetime, timedelta

import pytest

from jobs.domain.reminders.delivery import deliver_due
from jobs.domain.reminders.replies import acknowledge_reminder
from jobs.domain.stages.wait_commands import correct_start, finish_wait
from jobs.domain.workshop.commands import set_sheet
from jobs.models import Delivery, Reading, Wait, WaitEstimate
from tests.domain.reminders.conftest import HOUR, HOUR_GLUE, MINUTE
from tests.mailbox import mails_in, text_of
from tests.shop_fixtures import measured, voided

EPOXY = HOUR_GLUE | {"name": "Hour epoxy", "family": "epoxy", "water_based": False, "rate_k": "6000"}


@pytest.fixture
def wait(bench) -> Wait:
    """Return a wait of four hours to unclamp at 20 °C; every other question of the glue-up is answered."""
    set_sheet(bench.call(), kind="glue", key="hour-epoxy", data=EPOXY)
    piece = bench.glue_up(glue="hour-epoxy")
    finish_wait(bench.call(), wait=bench.wait(piece, "scrape").id, reason="scraped")
    return bench.wait(piece, "unclamp")


def air(since: datetime, *temps: float) -> None:
    entries = [{"at": since + n * 15 * MINUTE, "temperature": f"{t} C"} for n, t in enumerate(temps)]
    now = since + len(temps) * 15 * MINUTE
    assert not measured(entries, source="sensor-1", temperature_unit="C", now=now).refused


def ready(wait: Wait) -> datetime:
    return WaitEstimate.objects.get(wait=wait).ready_at


def subjects(folder) -> list[str]:
    return [str(mail["Subject"]).split(": ", 1)[1] for mail in mails_in(folder)]


def test_not_yet_goes_out_once_and_the_reminder_comes_again(bench, wait, mail_folder):
    first = ready(wait)
    assert deliver_due(first) == 1
    air(wait.since, *[11] * 16)  # a sensor reports late: it was cold all the while
    assert ready(wait) > first + HOUR
    assert deliver_due(first + 20 * MINUTE) == 1
    air(wait.since + 4 * HOUR, 11, 11)
    second = ready(wait)
    assert deliver_due(first + 40 * MINUTE) == 0, "it is taken back once"
    assert deliver_due(second) == 1
    assert deliver_due(second + HOUR) == 0
    told = subjects(mail_folder)
    assert told[0].startswith("ready since") and told[1].startswith("not yet, ready")
    assert told[2].startswith("ready since")
    rows = Delivery.objects.filter(wait_key=wait.id).order_by("id").values_list("kind", "attempt", "late")
    assert list(rows) == [("ready", 1, False), ("not yet", 1, False), ("ready", 2, False)]
    assert len({mail["Message-ID"] for mail in mails_in(mail_folder)}) == 3


@pytest.mark.parametrize("minutes, taken_back", [(14, 0), (15, 1)])
def test_a_told_time_is_taken_back_from_a_quarter_of_an_hour_on(
    bench, wait, mail_folder, minutes, taken_back
):
    first = ready(wait)
    deliver_due(first)
    bench.now = first + MINUTE
    later = wait.since + minutes * MINUTE
    correct_start(bench.call(), wait=wait.id, since=later, reason="the clock was read wrong")
    assert ready(wait) == first + minutes * MINUTE
    assert deliver_due(first + 2 * MINUTE) == taken_back


def test_what_was_taken_back_is_told_again_though_the_first_time_was_right(bench, wait, mail_folder):
    first = ready(wait)
    deliver_due(first)
    air(wait.since, *[11] * 16)
    assert deliver_due(first + 20 * MINUTE) == 1
    for reading in Reading.objects.all():  # the sensor lay on the window sill
        voided(reading.id, by=bench.by.id, now=first + 30 * MINUTE)
    assert ready(wait) == first
    assert deliver_due(first + 31 * MINUTE) == 1
    assert "ready since" in subjects(mail_folder)[-1]


def test_who_has_seen_the_wrong_time_is_told_too(bench, wait, mail_folder):
    first = ready(wait)
    deliver_due(first)
    acknowledge_reminder(bench.call(), wait=wait.id, kind="ready", person=bench.by.id)
    air(wait.since, *[11] * 16)
    assert deliver_due(first + 20 * MINUTE) == 1
    assert deliver_due(ready(wait)) == 1
    acknowledge_reminder(bench.call(), wait=wait.id, kind="ready", person=bench.by.id)
    assert deliver_due(ready(wait) + HOUR) == 0


def test_a_move_of_minutes_is_not_worth_a_mail(bench, wait, mail_folder):
    deliver_due(ready(wait))
    before = ready(wait)
    air(wait.since, *[20.5] * 16)  # a sensor may be off by a degree: the safe time is half a degree slower
    assert timedelta() < ready(wait) - before < 15 * MINUTE
    assert deliver_due(ready(wait) + MINUTE) == 0


def test_the_mail_says_why(bench, wait, mail_folder):
    air(wait.since, *[12] * 12)
    deliver_due(ready(wait))
    assert "wood fell to 53.6 °F (12 °C)" in " ".join(text_of(mails_in(mail_folder)[-1]).split())


def test_a_joint_that_became_suspect_is_told_and_has_no_ready_time(bench, mail_folder):
    piece = bench.glue_up()
    air(bench.glued, 20, 20, *[2] * 6)
    suspect = bench.wait(piece, "unclamp")
    assert ready(suspect) is None
    deliver_due(bench.glued + 2 * HOUR)
    assert "suspect: test it or redo it" in text_of(mails_in(mail_folder)[-1])
    assert deliver_due(bench.glued + 5 * HOUR) == 0


def test_cold_that_is_expected_is_told_ahead(bench, mail_folder):
    """Three days whose nights fall to 2 °C, and a glue-up at dusk."""
    bench.glue_up()
    start = bench.glued - timedelta(days=3)
    night = {(bench.glued + n * HOUR).hour for n in range(2, 9)}
    hours = [2.0 if (start + n * HOUR).hour in night else 20.0 for n in range(73)]
    entries = [{"at": start + n * HOUR, "temperature": f"{t} C"} for n, t in enumerate(hours)]
    measured(entries, source="sensor-1", temperature_unit="C", now=bench.glued + MINUTE)
    deliver_due(bench.glued + 16 * MINUTE)
    assert "too cold expected" in text_of(mails_in(mail_folder)[-1])
