"""Planned work in the calendar feed: whose it is, how it moves, what stays still."""

from dataclasses import asdict, replace
from datetime import timedelta

import icalendar
import pytest
import vobject
from django.test import Client
from django.utils import timezone

from jobs.core.canonical_json import plain
from jobs.domain.planning.published import Published
from jobs.domain.planning.publishing import current, publish
from jobs.domain.reminders.feeds.calendar import refresh
from jobs.domain.reminders.feeds.planned_work import SHOWN_AHEAD
from jobs.domain.workshop.accounts import make_token
from jobs.models import CalendarEntry, Person, PublishedPlan
from jobs.models.people import Scope
from tests.shop_fixtures import QUICK, Work, a_maker, an_owner, quick_sheets

HOUR = timedelta(hours=1)


@pytest.fixture
def plan(db: None) -> Published:
    """Return the plan of a shop of two with one order."""
    a_maker()
    work = Work(an_owner())
    quick_sheets(work.call())
    work.accepted(**QUICK)
    assert publish(timezone.now())
    found = current()
    assert found is not None
    return found


def put(plan: Published) -> None:
    """Publish a plan as it is."""
    PublishedPlan.objects.update(body=plain(asdict(plan)))


def feed_of(username: str) -> dict[str, tuple[object, str]]:
    """Return uid -> (start, status) of somebody's feed, as both parsers read it."""
    person = Person.objects.get(username=username)
    token = make_token(person, label="phone", now=timezone.now(), scope=Scope.CALENDAR)[1]
    raw = Client().get(f"/calendar/{token}.ics").content
    found = {
        str(one["uid"]): (one["dtstart"].dt, str(one["status"]))
        for one in icalendar.Calendar.from_ical(raw).walk("VEVENT")
        if str(one["uid"]).startswith("work-")
    }
    other = vobject.readOne(raw.decode("utf-8")).contents.get("vevent", [])
    assert {one.uid.value for one in other if one.uid.value.startswith("work-")} == set(found)
    return found


def test_the_feed_holds_a_fortnight_of_planned_work_and_a_helper_has_their_own(plan: Published):
    now = timezone.now()
    refresh(now)
    near = [one for one in plan.work if one.begins < now + SHOWN_AHEAD]
    assert len(feed_of("owner")) == len(near) > 0
    maker = Person.objects.get(username="maker")
    assert len(feed_of("maker")) == len([one for one in near if maker.id in one.people])
    alone = replace(plan, work=tuple(replace(one, people=(maker.id,)) for one in plan.work))
    put(alone)
    refresh(now)
    assert feed_of("maker").keys() == feed_of("owner").keys()


def test_a_move_by_less_than_an_hour_is_not_sent_and_one_by_an_hour_is(plan: Published):
    now = timezone.now()
    refresh(now)
    before = feed_of("owner")

    def moved(by: timedelta) -> Published:
        shifted = (replace(one, begins=one.begins + by, ends=one.ends + by) for one in plan.work)
        return replace(plan, work=tuple(shifted))

    put(moved(timedelta(minutes=35)))
    assert refresh(now + HOUR / 60) == 0 and feed_of("owner") == before
    put(moved(timedelta(minutes=70)))  # 35 more: together over an hour
    assert refresh(now + HOUR / 30) >= len(before) > 0
    after = feed_of("owner")
    same = before.keys() & after.keys()
    assert same and all(after[uid][0] != before[uid][0] for uid in same)
    assert set(
        CalendarEntry.objects.filter(about__startswith="work:").values_list("sequence", flat=True)
    ) <= {0, 1}


def test_what_leaves_the_plan_is_taken_out_and_maybes_never_enter(plan: Published):
    now = timezone.now()
    refresh(now)
    uids = set(feed_of("owner"))
    put(replace(plan, work=tuple(replace(one, maybe=True) for one in plan.work)))
    refresh(now + HOUR)
    assert {status for _, status in feed_of("owner").values()} == {"CANCELLED"}
    assert set(feed_of("owner")) == uids
