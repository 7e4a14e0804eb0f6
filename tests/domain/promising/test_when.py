"""When something can be promised: put into the plan of a small shop, and refused by name where it cannot."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.apps import apps
from django.utils import timezone

from jobs.core.errors import Invalid, NotYet, ShopError, WrongState
from jobs.domain.commissions.commissions import change_commission, move_commission
from jobs.domain.planning.problem.changes import NEW
from jobs.domain.promising.asked import BUY, Asked
from jobs.domain.promising.cannot import ALONE, BESIDE_OTHERS, NO_PROOF
from jobs.domain.promising.promise import Answer, when
from jobs.domain.workshop.commands import set_shop
from jobs.models import Commission, Piece
from tests.shop_fixtures import NOON, Work, a_client, a_commission, a_piece

pytestmark = pytest.mark.django_db
TODAY = timezone.localtime(NOON).date()
SETTLES = timedelta(days=7)
"""As long as bought boards lie in the shop, by the route of a top."""


@pytest.fixture
def piece(work: Work) -> Piece:
    return a_piece(work.call(), a_commission(work.call(), a_client(work.call())))


def rows() -> dict[str, int]:
    return {
        model.__name__: model._default_manager.count() for model in apps.get_app_config("jobs").get_models()
    }


def asked(work: Work, piece: Piece, **more: object) -> Answer:
    return when(Asked(commission=piece.commission.number, **more), work.now)


def worked_after(day: date, count: int) -> date:
    """Return the count-th day from Monday to Friday after a day."""
    while count:
        day += timedelta(days=1)
        count -= day.weekday() < 5
    return day


def test_the_days_of_an_enquiry_come_in_the_order_of_their_odds_and_nothing_is_saved(
    work: Work, piece: Piece
):
    before = rows()
    found = asked(work, piece)
    days = found.odds.in_half, found.odds.in_eight_of_ten, found.odds.in_nineteen_of_twenty
    assert TODAY < days[0] < days[1] < days[2]
    assert sum(found.odds.runs.values()) >= 100 and found.odds.chance(days[1]) >= 0.8
    assert rows() == before


def test_the_quote_proposes_the_8_in_10_day_with_the_margin_of_the_shop(work: Work, piece: Piece):
    found = asked(work, piece)
    assert found.proposed == worked_after(found.odds.in_eight_of_ten, 2)
    set_shop(work.call(), settings={"promise_margin_days": "0"})
    found = asked(work, piece)
    assert found.proposed == found.odds.in_eight_of_ten


def test_wood_to_buy_and_more_hours_make_it_later(work: Work, piece: Piece):
    settled, bought = asked(work, piece), asked(work, piece, wood=BUY)
    assert bought.odds.in_half - settled.odds.in_half >= SETTLES - timedelta(days=1)
    twice = asked(work, piece, hours=settled.hours * 2)
    assert twice.hours == pytest.approx(settled.hours * 2, rel=Decimal("0.1"))
    assert twice.odds.in_half > settled.odds.in_half


def test_a_piece_like_an_earlier_one_is_planned_though_it_is_nowhere(work: Work, piece: Piece):
    found = when(Asked(like=piece.number, hours=Decimal(30)), work.now)
    assert found.commission == NEW and found.odds.in_half > TODAY
    assert not Commission.objects.filter(number=NEW).exists()


def test_a_day_that_work_and_waits_alone_pass_is_proved_not_to_be_kept(work: Work, piece: Piece):
    day = TODAY + timedelta(days=3)
    found = asked(work, piece, wood=BUY, day=day)
    assert found.chance == 0
    assert found.cannot is not None and found.cannot.proof == ALONE and found.cannot.help is None
    late = asked(work, piece, day=found.odds.in_nineteen_of_twenty + SETTLES * 4)
    assert late.cannot is None and late.chance is not None and late.chance > 0.9


@pytest.mark.long
def test_a_day_just_before_the_plans_own_is_proved_only_by_the_solver(work: Work, piece: Piece):
    busy = work.accepted()
    change_commission(work.call(), commission=busy.commission.number, promise_on=TODAY + SETTLES * 6)
    day = asked(work, piece).ready_on - timedelta(days=1)
    found = asked(work, piece, day=day)
    if found.cannot is not None:  # else the solver found a plan that keeps it
        assert found.cannot.proof in (ALONE, BESIDE_OTHERS, NO_PROOF) and found.cannot.ready_on > day


@pytest.mark.parametrize(
    "wrong, field, error",
    [
        ({"commission": ""}, "commission", Invalid),
        ({"day": TODAY - timedelta(days=1)}, "day", Invalid),
        ({"hours": Decimal(0)}, "hours", Invalid),
        ({"wood": "marble"}, "wood", Invalid),
        ({"finish": "butter"}, "finish", Invalid),
        ({"commission": "2026-999"}, "commission", ShopError),
        ({"like": "2026-999-1"}, "like", ShopError),
    ],
)
def test_what_cannot_be_asked_is_named(
    work: Work, piece: Piece, wrong: dict[str, object], field: str, error: type[ShopError]
):
    with pytest.raises(error) as refused:
        when(Asked(**{"commission": piece.commission.number, **wrong}), work.now)
    assert refused.value.field == field


def test_a_commission_without_a_piece_without_sizes_or_at_its_end_is_refused(work: Work, piece: Piece):
    bare = a_commission(work.call(), a_client(work.call()))
    with pytest.raises(NotYet, match="has no piece yet"):
        when(Asked(commission=bare.number), work.now)
    a_piece(work.call(), bare, route="small-furniture", label="Bench", species="white oak")
    with pytest.raises(NotYet, match="no length and width") as refused:
        when(Asked(commission=bare.number), work.now)
    assert refused.value.field == "hours"
    assert when(Asked(commission=bare.number, hours=Decimal(20)), work.now).odds.in_half > TODAY
    move_commission(work.call(), commission=bare.number, to="declined", reason="too dear")
    with pytest.raises(WrongState) as over:
        when(Asked(commission=bare.number), work.now)
    assert over.value.field == "commission"
