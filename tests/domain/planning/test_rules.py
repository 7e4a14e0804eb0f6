"""Rules of plans that meet in one shop: clients who are waited for, the owner, wet coats, two people."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from django.db import transaction
from django.utils import timezone

from jobs.core.errors import Invalid
from jobs.domain.billing.invoice_commands import issue_deposit
from jobs.domain.clients.approvals import ask_approval
from jobs.domain.planning import publishing
from jobs.domain.planning.problem.client import ANSWER
from jobs.domain.planning.published import CLIENT, PlannedWork, Published
from jobs.domain.stages.route_edits import move_stage, set_template
from jobs.domain.working_time.commands import set_working_hours
from jobs.domain.workshop.commands import set_sheet
from jobs.models import Person, Piece, Stage
from tests.chance import dice
from tests.domain.planning.conftest import SLOW_FINISH, Planned
from tests.shop_fixtures import SHORT, TOP, Work, a_maker, a_price, an_owner, quick_sheets

pytestmark = pytest.mark.django_db
RULES = TOP | {"route": "rules", "finish_face": "quick-finish"}
DRIES = timedelta(hours=4)


@dataclass(frozen=True, kw_only=True)
class Shop:
    """A shop of two with three orders, and its plan."""

    said: Published
    now: datetime
    owner: Person
    helper: Person
    unpaid: Piece
    asked: Piece
    free: Piece

    def at(self, piece: Piece, stage: str) -> list[PlannedWork]:
        return [one for one in self.said.work if (one.piece, one.stage) == (piece.number, stage)]

    def held(self, piece: Piece) -> tuple[str, str]:
        return next(one.held_by for one in self.said.finishes if one.commission == piece.commission.number)


@pytest.fixture(scope="module")
def shop(django_db_setup: None, django_db_blocker) -> Iterator[Shop]:
    """Return the shop, played once for all tests here that only read its plan."""
    with dice.other_lot(), django_db_blocker.unblock(), transaction.atomic():
        made = _played()
        transaction.set_rollback(True)
    yield made


def _played() -> Shop:
    work = Work(an_owner())
    helper = a_maker()
    quick_sheets(work.call())
    set_sheet(work.call(), kind="finish", key="quick-finish", data=SLOW_FINISH | {"sealing_coats": 2})
    set_template(work.call(), text=(Path(__file__).parent / "rules.toml").read_text("utf-8"))
    unpaid, asked, free = (work.accepted(**RULES) for _ in range(3))
    a_price(work.call(), unpaid.commission)
    issue_deposit(work.call(), commission=unpaid.commission.number, pct=Decimal(50))
    ask_approval(work.call(), commission=asked.commission.number, drawings=[asked.number])
    assert publishing.publish(work.now, seconds=0.01)
    said = publishing.current()
    assert said is not None and said.not_planned == ()
    pieces = [Piece.objects.select_related("commission").get(id=one.id) for one in (unpaid, asked, free)]
    return Shop(
        said=said, now=work.now, owner=work.by, helper=helper, unpaid=pieces[0], asked=pieces[1],
        free=pieces[2],
    )  # fmt: skip


def test_boards_wait_for_the_deposit_and_the_order_is_held_by_its_client(shop: Shop):
    [stock] = shop.at(shop.unpaid, "stock")
    assert stock.begins >= shop.now + ANSWER - timedelta(minutes=1)
    assert shop.at(shop.unpaid, "survey")[0].begins < shop.now + timedelta(days=1)
    assert shop.held(shop.unpaid) == (CLIENT, shop.unpaid.commission.number)


def test_a_drawing_waits_for_the_clients_yes_and_the_order_is_held_by_its_client(shop: Shop):
    [survey] = shop.at(shop.asked, "survey")
    assert survey.begins >= shop.now + ANSWER - timedelta(minutes=1)
    assert shop.held(shop.asked) == (CLIENT, shop.asked.commission.number)
    assert shop.held(shop.free)[0] != CLIENT


def test_what_is_the_owners_goes_to_the_owner_alone(shop: Shop):
    figures = [one for piece in (shop.unpaid, shop.asked, shop.free) for one in shop.at(piece, "figures")]
    assert [one.people for one in figures] == [(shop.owner.id,)] * 3
    assert any(one.people == (shop.helper.id,) for one in shop.said.work), "the helper is idle all the while"


def test_two_people_carry_what_is_too_heavy_for_one(shop: Shop):
    assert {frozenset(one.people) for one in shop.at(shop.free, "deliver")} == {
        frozenset({shop.owner.id, shop.helper.id})
    }


def test_nobody_sands_in_the_finishing_room_while_a_coat_is_wet(shop: Shop):
    coats = [one for one in shop.said.work if one.stage.startswith("seal")]
    sanded = [one for one in shop.said.work if one.stage.startswith("scuff")]
    assert len(coats) == 6 and len(sanded) == 3
    for coat in coats:
        for one in sanded:
            assert one.ends <= coat.begins or one.begins >= coat.ends + DRIES


def test_stages_in_a_circle_are_refused_and_those_of_an_old_route_named(slow: Work, planned: Planned):
    piece, other = slow.accepted(**SHORT), slow.accepted(**SHORT)
    with pytest.raises(Invalid, match="would wait for one another: ") as refused:
        move_stage(slow.call(), piece=piece.number, stage="glue-up", after=["flatten"])
    assert refused.value.field == "after"
    old = Stage.objects.get(piece=piece, key="glue-up")
    Stage.objects.filter(id=old.id).update(spec=old.spec | {"after": ["flatten"]})
    said = planned()
    [missing] = said.not_planned
    assert (missing.piece, missing.stage) == (piece.number, "glue-up")
    assert "it waits for Flattened, which waits for it" in missing.why
    assert {one.piece for one in said.work} == {other.number}


@pytest.mark.parametrize("day", [datetime(2026, 3, 29, tzinfo=UTC), datetime(2026, 10, 25, tzinfo=UTC)])
def test_a_window_over_a_change_of_the_clock_keeps_its_length(slow: Work, planned: Planned, day: datetime):
    """The clock changes at 01:00 UTC, from 02:00 on or from 03:00 back (Directive 2000/84/EC)."""
    with timezone.override("Europe/Berlin"):
        changes = day + timedelta(hours=1)
        slow.now = changes - timedelta(minutes=45)
        set_working_hours(slow.call(), who=slow.by.id, week=[*[[]] * 6, [["00:00", "06:00"]]])
        piece = slow.accepted(**SHORT)
        slow.do(piece, "survey")
        said = planned()
        times = {one.stage: one for one in said.work if one.stage in ("glue-up", "scrape")}
        wait = next(one for one in said.waits if one.kind == "scrape")
        assert times["glue-up"].begins < changes < times["scrape"].begins
        assert wait.begins == times["glue-up"].ends
        assert wait.closes is not None and wait.closes - wait.begins == timedelta(hours=1)
        passed = times["scrape"].begins - times["glue-up"].ends
        assert timedelta(minutes=30) <= passed <= timedelta(hours=1)
        assert timezone.localtime(times["scrape"].ends).hour < 6
