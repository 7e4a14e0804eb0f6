"""Calendar, bench, stage page, API and reminder name one time for one wait: the safe one."""

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import icalendar
import pytest
from django.test import Client

from jobs.domain.overviews.bench import bench
from jobs.domain.reminders.feeds.calendar import refresh
from jobs.domain.reminders.times import day_clock
from jobs.domain.reminders.wording import Told, wording
from jobs.domain.workshop.accounts import make_token
from jobs.domain.workshop.commands import set_sheet
from jobs.models import Person, ReminderDue, Wait
from jobs.models.people import Scope
from tests.api.client import Api
from tests.shop_fixtures import QUICK, QUICK_FINISH, QUICK_GLUE, Piece, Work, measured, quick_sheets
from tests.web.pages import Pages

HOUR = timedelta(hours=1)
EPOXY = QUICK_GLUE | {
    "name": "Slow epoxy", "family": "epoxy", "water_based": False, "open_s": "40 min", "closed_s": "1 h",
    "scrape_from_s": "2 h", "scrape_to_s": "4 h", "unclamp_s": "12 h", "machine_s": "24 h",
    "surface_s": "48 h", "full_s": "7 d", "rate_k": "6000",
}  # fmt: skip
COAT = QUICK_FINISH | {"name": "Slow coat", "recoat_from_s": "4 h", "recoat_to_s": "24 h", "full_s": "21 d"}


@pytest.fixture
def work(owner: Person) -> Work:
    work = Work(owner)
    quick_sheets(work.call())
    set_sheet(work.call(), kind="glue", key="slow-epoxy", data=EPOXY)
    set_sheet(work.call(), kind="finish", key="slow-coat", data=COAT)
    return work


def clamped(work: Work) -> Piece:
    piece = work.accepted(**QUICK | {"glue": "slow-epoxy", "finish_face": "slow-coat"})
    work.do_until(piece, "glue-up")
    return piece


def air(work: Work, since: datetime, temps: list[float]) -> None:
    entries = [
        {"at": since + n * HOUR, "temperature": str(t), "humidity": 50, "place": "shop"}
        for n, t in enumerate(temps)
    ]
    taken = measured(entries, source="sensor", temperature_unit="C", now=since + len(temps) * HOUR)
    assert not taken.refused


def settling(work: Work) -> Piece:
    piece = work.accepted()
    work.do_until(piece, "stock")
    return piece


def cold_night(work: Work) -> Piece:
    piece = clamped(work)
    air(work, work.now - 2 * HOUR, [20] * 3 + [16, 18] * 2)
    return piece


def may_stand_still(work: Work) -> Piece:
    """Return a piece whose window for squeeze-out has no safe moment."""
    piece = clamped(work)
    air(work, work.now - 2 * HOUR, [20, 20, 14, 10.5])
    return piece


def drying(work: Work) -> Piece:
    piece = clamped(work)
    coats = [s.key for s in piece.stages.order_by("position") if s.spec["template_key"] in ("seal", "build")]
    work.do_until(piece, coats[0])
    return piece


def curing(work: Work) -> Piece:
    piece = clamped(work)
    coats = [s.key for s in piece.stages.order_by("position") if s.spec["template_key"] in ("seal", "build")]
    work.do_until(piece, coats[-1])
    return piece


def events_of(person: Person, now: datetime) -> dict[str, Any]:
    refresh(now)
    link = make_token(person, label="phone", now=now, scope=Scope.CALENDAR)[1]
    found = icalendar.Calendar.from_ical(Client().get(f"/calendar/{link}.ics").content).walk("VEVENT")
    return {str(e["uid"]).partition("@")[0]: e for e in found}


@pytest.mark.parametrize(
    ("stand", "kinds"),
    [
        (settling, {"settle"}),
        (clamped, {"scrape", "unclamp"}),
        (cold_night, {"scrape", "unclamp"}),
        (may_stand_still, {"scrape", "unclamp"}),
        (drying, {"recoat"}),
        (curing, {"full cure"}),
    ],
)
def test_one_wait_has_one_time_wherever_it_is_read(
    work: Work, owner: Person, stand: Callable[[Work], Piece], kinds: set[str]
):
    piece = stand(work)
    running = list(Wait.objects.filter(stage__piece=piece, step=Wait.Step.RUNNING))
    assert {w.kind for w in running} == kinds
    events, pages = events_of(owner, work.now), Pages(owner)
    cards = {c["wait"]["id"]: c["wait"] for c in bench(now=work.now, person=owner.id)["waiting"]}
    api = {c["wait"]["id"]: c["wait"] for c in Api(owner).get("waits/").data}
    for wait in running:
        ready, closes = wait.estimate.ready_at, wait.estimate.closes_at
        event, card = events[f"wait-{wait.id}"], cards[wait.id]
        starts = event["dtstart"].dt.astimezone(UTC)
        safe = ready if wait.kind == "scrape" else max(ready, wait.estimate.latest_at or ready)
        assert starts == safe, f"{wait.title} in the calendar"
        ends = event["dtend"].dt if "dtend" in event else None
        assert ends == (closes if closes and closes > starts else None)
        assert (card["ready_at"], card["closes_at"]) == (ready, closes)
        assert datetime.fromisoformat(api[wait.id]["ready_at"]) == ready
        due = ReminderDue.objects.filter(wait=wait, kind__in=("ready", "window opens"))
        assert {d.due_at for d in due} == {ready}
        alarms = [a["trigger"].dt for a in event.walk("VALARM")]
        page = pages.get(f"/pieces/{piece.number}/stages/{wait.stage.key}/")
        if starts > ready:  # nothing is measured: every door tells the cautious hour beside the ready one
            assert alarms[0] == starts
            mail = wording(owner, [Told(due=due.first(), late=False)], now=work.now).text
            assert f"To be safe: from {day_clock(starts, work.now, zone=True)} on" in mail
            assert card["latest_at"] == starts == datetime.fromisoformat(api[wait.id]["latest_at"])
            continue
        told = [d.due_at for d in ReminderDue.objects.filter(wait=wait, channel="screen").order_by("due_at")]
        assert alarms == told, "the calendar rings when the screen tells it"
        assert re.search(f'ready (since )?<time datetime="{re.escape(ready.isoformat())}"', page.text)
