"""Promises at risk by the published plans, what was told of promises, and how they were kept."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.utils import timezone

from jobs.domain.commissions.commissions import change_commission
from jobs.domain.lifecycle import move
from jobs.domain.planning import publishing
from jobs.domain.planning.published import Finish, Published
from jobs.domain.promising.learned import kept_promises, shares_of, work_by_kind
from jobs.domain.promising.risks import judge, risk_of
from jobs.domain.reminders.promise_risks import follow_plan, help_promise
from jobs.log.commands import CommandTransaction, command
from jobs.models import (
    Commission,
    OutboxMessage,
    Piece,
    PromiseRisk,
    PromiseTold,
    PublishedPlan,
    ReminderDue,
    Stage,
    StagePlanned,
)
from tests.shop_fixtures import NOON, SHORT, Work

pytestmark = pytest.mark.django_db
TODAY = timezone.localtime(NOON).date()
DAY = timedelta(days=1)


@pytest.fixture
def piece(work: Work) -> Piece:
    return work.accepted(**SHORT)


def plan_that_says(piece: Piece, days_over: int) -> Published:
    """Return a plan whose 8 in 10 day lies so many days after the promise."""
    promised = TODAY + 20 * DAY
    finish = Finish(
        commission=piece.commission.number, ready_on=promised, promised=promised,
        in_eight_of_ten=promised + days_over * DAY, held_by=("wait", "Finish curing"),
    )  # fmt: skip
    return Published(made_at=NOON, work=(), waits=(), finishes=(finish,))


def promise(work: Work, piece: Piece, day: date) -> None:
    change_commission(work.call(), commission=piece.commission.number, promise_on=day)


def plan_now(work: Work) -> Published:
    PublishedPlan.objects.update(tried_at=None)
    assert publishing.publish(work.now)
    said = publishing.current()
    assert said is not None
    return said


@command
def get_ready(tx: CommandTransaction, *, commission: str) -> None:
    """Move an accepted commission on to ready, as its last stage does."""
    found = Commission.objects.get(number=commission)
    move(tx, found, Commission.Step.IN_SHOP)
    move(tx, found, Commission.Step.READY)


def test_one_day_over_is_a_risk_only_where_two_plans_in_a_row_say_so(work: Work, piece: Piece):
    number = piece.commission.number
    assert judge(plan_that_says(piece, 1), NOON) == set() and risk_of(number) is None
    assert judge(plan_that_says(piece, 0), NOON) == set()
    assert judge(plan_that_says(piece, 1), NOON) == set() and risk_of(number) is None
    assert judge(plan_that_says(piece, 1), NOON) == {number}
    assert risk_of(number).held_by == "wait:Finish curing"


def test_more_than_a_day_over_is_a_risk_at_once_and_two_calm_plans_end_it(work: Work, piece: Piece):
    number = piece.commission.number
    assert judge(plan_that_says(piece, 2), NOON) == {number}
    assert judge(plan_that_says(piece, 4), NOON + DAY) == set(), "it is one already"
    assert risk_of(number).at_risk_since == NOON
    assert judge(plan_that_says(piece, 0), NOON) == set() and risk_of(number) is not None
    assert judge(plan_that_says(piece, 0), NOON) == {number} and risk_of(number) is None


def test_another_promised_day_is_judged_afresh(work: Work, piece: Piece):
    judge(plan_that_says(piece, 2), NOON)
    said = plan_that_says(piece, 2)
    moved = replace(said.finishes[0], promised=TODAY + 30 * DAY, in_eight_of_ten=TODAY + 31 * DAY)
    judge(replace(said, finishes=(moved,)), NOON)
    assert risk_of(piece.commission.number) is None


def test_the_owner_is_reminded_once_and_what_helps_is_looked_for(work: Work, piece: Piece):
    number = piece.commission.number
    promise(work, piece, TODAY + DAY)
    plan_now(work)
    follow_plan(work.now)
    due = ReminderDue.objects.filter(subject=f"commission:{number}", kind="promise off plan")
    first = set(due.values_list("person", "channel", "due_at"))
    assert first and risk_of(number) is not None
    plan_now(work)
    follow_plan(work.now + timedelta(hours=1))
    assert set(due.values_list("person", "channel", "due_at")) == first
    assert OutboxMessage.objects.filter(kind="help promise", subject=number).count() == 1
    help_promise(number, work.now)
    assert PromiseRisk.objects.get().helps.partition(":")[0] in ("nothing", "saturday", "first", "evenings")


def test_what_the_plan_told_is_kept_with_the_promise_and_counts_once_it_is_in(work: Work, piece: Piece):
    said = plan_now(work).finishes[0]
    promise(work, piece, said.in_nineteen_of_twenty)
    told = PromiseTold.objects.get()
    days = (told.in_half, told.in_eight_of_ten, told.in_nineteen_of_twenty)
    assert days == (said.in_half, said.in_eight_of_ten, said.in_nineteen_of_twenty)
    assert kept_promises() == []
    work.go(days=2)
    get_ready(work.call(), commission=piece.commission.number)
    kept = kept_promises()
    assert [one.is_kept for one in kept] == [True] and kept[0].ready_on == TODAY + 2 * DAY
    shares = shares_of(kept)
    assert (shares.promises, shares.kept, shares.told) == (1, 1, 1) and not shares.is_shown
    assert shares_of(kept * 10).is_shown


def test_a_promise_before_any_plan_gets_its_days_from_the_next_one(work: Work, piece: Piece):
    promise(work, piece, TODAY + 40 * DAY)
    assert PromiseTold.objects.get().in_half is None
    said = plan_now(work).finishes[0]
    follow_plan(work.now)
    assert PromiseTold.objects.get().in_eight_of_ten == said.in_eight_of_ten


def test_planned_and_done_minutes_of_a_stage_stand_side_by_side(work: Work, piece: Piece):
    plan_now(work)
    first = piece.stages.order_by("position").first()
    assert first is not None
    work.do(piece, first.key)
    row, done = StagePlanned.objects.get(), Stage.objects.get(id=first.id)
    assert row.minutes > 0 and (row.piece, row.stage) == (piece.number, first.key)
    found = work_by_kind()
    assert [(one.stages, one.planned_min, one.done_min) for one in found] == [(1, row.minutes, done.minutes)]
