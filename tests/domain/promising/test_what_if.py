"""What if: the effect of a change on every promised day, and nothing of it saved."""

from datetime import timedelta

import pytest
from django.apps import apps
from django.utils import timezone

from calcs.kit.units import inches
from jobs.core.errors import Invalid
from jobs.domain.commissions.commissions import change_commission
from jobs.domain.planning.publishing import current, publish
from jobs.domain.promising.comparing import Comparison, compare
from jobs.domain.promising.what_if import WhatIf
from jobs.models import Person, Piece
from tests.shop_fixtures import NOON, SHORT, Work, a_client, a_commission, a_piece, quick_sheets

pytestmark = pytest.mark.django_db
TODAY = timezone.localtime(NOON).date()
WEEK = timedelta(days=7)


@pytest.fixture
def piece(work: Work) -> Piece:
    quick_sheets(work.call())
    found = work.accepted(**SHORT)
    change_commission(work.call(), commission=found.commission.number, promise_on=TODAY + timedelta(days=6))
    return found


def effect(found: Comparison, piece: Piece):
    return next(one for one in found.effects if one.commission == piece.commission.number)


def rows() -> dict[str, int]:
    return {
        model.__name__: model._default_manager.count() for model in apps.get_app_config("jobs").get_models()
    }


def test_a_week_without_the_only_maker_breaks_the_promise_and_saves_nothing(work: Work, piece: Piece):
    before = rows()
    found = compare(WhatIf(away=work.by.id, away_from=TODAY, away_until=TODAY + WEEK), work.now)
    mine = effect(found, piece)
    assert mine.promised == TODAY + timedelta(days=6) and mine.before <= mine.promised
    assert mine.days >= 5 and mine.is_broken and mine.days_late > 0
    assert rows() == before


def test_a_change_that_touches_nothing_moves_nothing(work: Work, piece: Piece):
    away = TODAY + timedelta(days=90)
    mine = effect(compare(WhatIf(away=work.by.id, away_from=away), work.now), piece)
    assert mine.days == 0 and not mine.is_broken


def test_the_day_before_is_the_one_that_the_published_plan_expects(work: Work, piece: Piece):
    assert publish(work.now, seconds=0.2)
    plan = current()
    assert plan is not None
    told = {one.commission: one.in_eight_of_ten for one in plan.finishes}
    found = compare(WhatIf(away=work.by.id, away_from=TODAY, away_until=TODAY + WEEK), work.now)
    mine = effect(found, piece)
    assert mine.before == told[piece.commission.number] and mine.days >= 5
    assert mine.after.weekday() < 5, "nobody works on a weekend"


def test_a_commission_that_is_accepted_stands_in_the_plan_with_its_day(work: Work, piece: Piece):
    asked = a_commission(work.call(), a_client(work.call()))
    a_piece(work.call(), asked)
    day = TODAY + timedelta(days=120)
    found = compare(WhatIf(accept=asked.number, accept_for=day), work.now)
    new = next(one for one in found.effects if one.commission == asked.number)
    assert new.before is None and new.after is not None and new.promised == day and not new.days_late


def test_another_glue_makes_it_as_late_as_its_clamps_stay_on(work: Work):
    top = a_piece(work.call(), a_commission(work.call(), a_client(work.call())), glue="pva")
    number = top.commission.number
    quick = compare(WhatIf(accept=number), work.now)
    work.accepted(glue="pva")  # planned, so that the glue has something to change
    slow = compare(WhatIf(accept=number, glue="epoxy"), work.now)
    days = [next(e.after for e in each.effects if e.commission == number) for each in (quick, slow)]
    assert all(days)


@pytest.mark.parametrize(
    "wrong, field",
    [
        ({}, "away"),
        ({"away": "nobody", "away_from": TODAY}, "away"),
        ({"away": "person-owner"}, "away_from"),
        ({"away": "person-owner", "away_from": TODAY - WEEK}, "away_from"),
        ({"away": "person-owner", "away_from": TODAY + WEEK, "away_until": TODAY}, "away_until"),
        ({"first": "2026-999"}, "first"),
        ({"overtime_on": TODAY - WEEK, "overtime_hours": 4}, "overtime_on"),
        ({"overtime_on": TODAY + WEEK}, "overtime_hours"),
        ({"overtime_on": TODAY + WEEK, "overtime_hours": 0}, "overtime_hours"),
        ({"overtime_on": TODAY + WEEK, "overtime_hours": 4, "overtime_by": "nobody"}, "overtime_by"),
        ({"clamps": 0, "reach_len": inches(40)}, "clamps"),
        ({"clamps": 4}, "reach"),
        ({"glue": "butter"}, "glue"),
        ({"accept": "2026-999"}, "accept"),
        ({"first": "2026-001", "accept_for": TODAY - WEEK}, "accept_for"),
    ],
)
def test_what_cannot_be_asked_is_named(work: Work, piece: Piece, wrong: dict[str, object], field: str):
    assert Person.objects.get().id == "person-owner"
    with pytest.raises(Invalid) as refused:
        compare(WhatIf(**wrong), work.now)
    assert refused.value.field == field
