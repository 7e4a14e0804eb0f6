"""A quote that nobody answers comes back to the owner's bench after the days that the shop set."""

from datetime import timedelta
from decimal import Decimal

import pytest

from jobs.domain.billing.prices import Line
from jobs.domain.quoting.acceptance import accept_offer
from jobs.domain.quoting.quotes import draft_quote
from jobs.domain.quoting.sending import follow_up, send_offer
from jobs.domain.reminders.queries import reminders_due
from jobs.domain.workshop.commands import set_shop
from jobs.log.rebuild import compare
from jobs.models import ReminderDue
from tests.domain.reminders.conftest import Bench
from tests.shop_fixtures import a_client, a_commission, a_maker, a_piece


@pytest.fixture
def quote(bench: Bench) -> str:
    """Return a quote that was mailed to its client today."""
    commission = a_commission(bench.call(), a_client(bench.call()))
    a_piece(bench.call(), commission)
    line = Line(description="Top as drawn", unit_price=Decimal(1000))
    draft_quote(bench.call(), commission=commission.number, lines=[line])
    send_offer(bench.call(), offer=f"{commission.number}-Q1", to="orla@fenwick.example")
    return f"{commission.number}-Q1"


def lines(bench: Bench, *, days: int) -> list[str]:
    """Return the reminders about quotes on the owner's bench so many days from now."""
    found = reminders_due(now=bench.now + timedelta(days=days), person=bench.by.id)
    return [one["title"] for one in found if one["kind"] == "quote unanswered"]


def test_after_five_days_the_owner_alone_is_reminded(bench: Bench, quote: str):
    maker = a_maker()
    assert lines(bench, days=4) == []
    assert lines(bench, days=6) == ["2026-001 Desk by the window: quote unanswered, 6 days"]
    assert not ReminderDue.objects.filter(kind="quote unanswered", person=maker.id).exists()
    assert compare() == []


def test_asking_again_starts_the_days_again_and_an_answer_ends_them(bench: Bench, quote: str):
    bench.now += timedelta(days=6)
    follow_up(bench.call(), offer=quote, words="May we help?")
    assert lines(bench, days=1) == [] and len(lines(bench, days=6)) == 1
    accept_offer(bench.call(), offer=quote, version=1)
    assert lines(bench, days=6) == []


@pytest.mark.parametrize("days, shown", [("2", 1), ("0", 0)])
def test_the_shop_sets_the_days_and_none_at_all(bench: Bench, quote: str, days: str, shown: int):
    set_shop(bench.call(), settings={"quote_follow_up_days": days})
    assert len(lines(bench, days=3)) == shown


def test_a_quote_that_was_handed_over_is_asked_about_too(bench: Bench):
    commission = a_commission(bench.call(), a_client(bench.call()))
    line = Line(description="Top as drawn", unit_price=Decimal(1000))
    draft_quote(bench.call(), commission=commission.number, lines=[line])
    send_offer(bench.call(), offer=f"{commission.number}-Q1", by_hand=True)
    assert len(lines(bench, days=6)) == 1
