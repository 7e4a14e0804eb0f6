"""Kinds of reminder: one class each, which the schedule, mails and pages take everything from."""

from datetime import date
from types import new_class

import pytest

from jobs.domain.reminders.delivery import deliver_due
from jobs.domain.reminders.kinds import KINDS, SUBJECT_KINDS, SUPERSEDES
from jobs.domain.reminders.kinds.base import LONGEST_KEY, TaskKind, registered, reminder_kind
from jobs.domain.reminders.queries import reminders_due
from jobs.log.projectors import Turn, refill
from jobs.models import Delivery, ReminderDue, ReminderReply
from jobs.models.people import ReminderPreference
from tests.domain.reminders.test_daily import accepted, due, morning


def test_every_kind_that_is_registered_was_found_in_the_folder():
    assert list(KINDS.values()) == registered()
    assert set(SUPERSEDES) | set(SUPERSEDES.values()) <= set(KINDS)


@pytest.mark.parametrize("model", [ReminderDue, ReminderReply, Delivery, ReminderPreference])
def test_a_key_fits_into_every_table(model: type):
    assert model._meta.get_field("kind").max_length == LONGEST_KEY


def another(**members: str) -> type[TaskKind]:
    """Return a class of a kind that no module of the folder has."""
    return new_class("Another", (TaskKind,), exec_body=lambda body: body.update(members, moment=None))


@pytest.mark.parametrize("key", ["ready", "", "x" * (LONGEST_KEY + 1)])
def test_a_key_that_is_taken_or_does_not_fit_is_refused(key: str):
    with pytest.raises(ValueError, match=f"key '{key}'"):
        reminder_kind(another(key=key, title="Another"))
    assert list(KINDS.values()) == registered()


def test_a_kind_that_leaves_out_its_title_is_refused():
    with pytest.raises(TypeError, match="Another has no title"):
        reminder_kind(another(key="x"))


def test_a_subject_is_not_read_twice_for_kinds_that_share_it():
    """Four kinds are about a commission; two are worded from the same rows, one needs its risk with it."""
    of_commission = [kind for kind in SUBJECT_KINDS.values() if kind.noun == "commission"]
    assert len(of_commission) == 4 and len({kind.load for kind in of_commission}) == 3
    assert len({kind.rests_on or kind.load for kind in of_commission}) == 2


def test_the_rows_of_a_kind_that_is_gone_rest_until_the_schedule_is_made_again(bench, mail_folder):
    accepted(bench, promise_on=date(2026, 3, 20))
    ReminderDue.objects.filter(kind="promise at risk").update(kind="a kind of old")
    assert reminders_due(now=morning(17), person=bench.by.id) == []
    assert deliver_due(morning(17)) == 0
    refill(since=Turn.REMINDERS)
    assert due("promise at risk") == [morning(17)] and due("a kind of old") == []
