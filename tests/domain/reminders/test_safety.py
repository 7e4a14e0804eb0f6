"""Mail about rags: at its moments, in its words, until somebody has answered."""

from datetime import UTC, datetime, timedelta

import pytest

from jobs.domain.commissions.commissions import move_commission
from jobs.domain.reminders.delivery import deliver_due
from jobs.domain.reminders.queries import undelivered
from jobs.domain.stages.safety import settle_task, snooze_task
from jobs.models import Delivery, SafetyTask
from tests.domain.reminders.conftest import MINUTE
from tests.mailbox import html_of, mails_in, text_of
from tests.shop_fixtures import ROUTES, SHORT

MICROSECOND = timedelta(microseconds=1)
CLOSING = datetime(2026, 4, 1, 17, 30, tzinfo=UTC)


@pytest.fixture
def task(bench, settings) -> SafetyTask:
    """Return the task of a first coat; every earlier reminder is settled."""
    settings.ROUTES_DIR = ROUTES
    piece = bench.accepted(**SHORT | {"finish_face": "quick-oil", "sealing_coats": "2"})
    bench.do_until(piece, "flatten")
    bench.now = CLOSING - timedelta(hours=8)
    bench.do(piece, "seal-1")
    bench.do(piece, "scuff-seal-2")
    found = SafetyTask.objects.get(kind="rags")
    settle_task(bench.call(), task=SafetyTask.objects.get(kind="dust").id, how="bag emptied into water")
    return found


def test_it_is_asked_by_mail_at_its_moment_and_at_closing(bench, task, mail_folder):
    assert deliver_due(task.due_at - MICROSECOND) == 0
    assert deliver_due(task.due_at) == 1
    assert deliver_due(CLOSING - MICROSECOND) == 0
    assert deliver_due(CLOSING) == 1
    assert deliver_due(CLOSING + 5 * MINUTE) == 0
    first, second = mails_in(mail_folder)
    for mail in (first, second):
        assert "Rags dealt with?" in mail["Subject"] and "Sealing coat, 1 of 2" in mail["Subject"]
        for text in (text_of(mail), html_of(mail)):
            assert "Oily rags catch fire by themselves" in text and "closed metal can" in text
            assert "NFPA" not in text, "the bench says that, beside the task"
            assert "The product's own sheet" in text.replace("&#x27;", "'")
    assert first["Message-ID"] != second["Message-ID"]
    assert set(Delivery.objects.values_list("wait_key", "step")) == {(task.id, "sent")}


def test_whoever_answers_ends_it_for_all(bench, task):
    settle_task(bench.call(), task=task.id, how="spread flat outdoors")
    assert deliver_due(CLOSING + MINUTE) == 0


def test_put_off_it_comes_then_and_at_closing_all_the_same(bench, task):
    until = task.due_at + 60 * MINUTE
    snooze_task(bench.call(), task=task.id, person=bench.by.id, until=until)
    assert deliver_due(until - MICROSECOND) == 0
    assert deliver_due(until) == 1
    assert deliver_due(CLOSING) == 1


def test_a_cancelled_commission_is_not_quiet_about_rags(bench, task):
    number = task.piece.commission.number
    move_commission(bench.call(), commission=number, to="cancelled", reason="sold")
    assert deliver_due(task.due_at) == 1


def test_mail_about_rags_that_did_not_arrive_is_listed(bench, task, mail_folder, settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1
    assert deliver_due(task.due_at) == 0
    (lost,) = undelivered()
    assert (lost["task"], lost["wait"], lost["title"]) == (task.id, None, "Rags dealt with?")
