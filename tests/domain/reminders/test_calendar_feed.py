"""The feed as two calendar parsers read it: an iCalendar library and another that shares no code with it."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import icalendar
import pytest
import vobject
from django.test import Client
from hypothesis import example, given, settings
from hypothesis import strategies as st

from jobs.domain.billing.prices import Line, set_price
from jobs.domain.clients.commands import change_client
from jobs.domain.commissions.commissions import change_commission
from jobs.domain.reminders.feeds.calendar import SHOWN_AFTER, refresh
from jobs.domain.reminders.feeds.entries import Words
from jobs.domain.reminders.feeds.ical import feed
from jobs.domain.workshop.accounts import make_token, revoke_token
from jobs.domain.workshop.commands import set_shop
from jobs.models import CalendarEntry, Token, Wait, WaitEstimate
from jobs.models.people import Scope
from tests.api.client import head
from tests.domain.reminders.conftest import *  # noqa: F403 (the bench with its two waits)
from tests.domain.reminders.conftest import HOUR, MINUTE
from tests.shop_fixtures import a_maker

VIENNA, NEW_YORK = ZoneInfo("Europe/Vienna"), ZoneInfo("America/New_York")


def entry(start, end=None, *, about="wait:7001", **more):
    stamp = datetime(2026, 3, 1, tzinfo=UTC)
    times = {"starts_at": start, "ends_at": end, "added_at": stamp, "modified_at": stamp}
    return CalendarEntry(about=about, **{**times, **more})


def made(*entries, zone=VIENNA, words=None):
    said = words or Words(summary="Clamps off: ready", description="Table", link="http://shop.example/")
    return feed([(e, said) for e in entries], shop="0123.shop-log", zone=zone, name="Fenn Street Bench")


def by_icalendar(raw):
    """Return uid -> (start, end, alarms) by the first parser, in UTC."""
    found = {}
    for event in icalendar.Calendar.from_ical(raw).walk("VEVENT"):
        end = event.get("dtend")
        alarms = [a["trigger"].dt for a in event.walk("VALARM")]
        found[str(event["uid"])] = (utc(event["dtstart"].dt), utc(end.dt) if end else None, alarms)
    return found


def by_vobject(raw):
    """Return the same by the second parser, which takes its zones from the feed's own VTIMEZONE."""
    found = {}
    known = vars(vobject.icalendar)["__tzidMap"]
    for zone in set(known) - {"UTC"}:
        del known[zone]  # it would keep the zone of an earlier feed
    calendar = vobject.readOne(raw.decode("utf-8"))
    for event in calendar.contents.get("vevent", []):
        end = event.contents.get("dtend")
        alarms = [utc(a.trigger.value) for a in event.contents.get("valarm", [])]
        found[event.uid.value] = (utc(event.dtstart.value), utc(end[0].value) if end else None, alarms)
    return found


def utc(moment):
    return moment.astimezone(UTC) if isinstance(moment, datetime) else moment


BEFORE_SPRING = datetime(2026, 3, 29, 0, 30, tzinfo=UTC)  # Vienna: 01:30, half an hour before 02:00 is 03:00
AUTUMN = datetime(2026, 10, 25, 0, 30, tzinfo=UTC)  # Vienna: 02:30, which comes again an hour later
moments = st.datetimes(datetime(1971, 1, 1), datetime(2099, 12, 31), timezones=st.just(UTC)).map(
    lambda m: m.replace(microsecond=0)
)
spans = st.integers(1, 40 * 86400).map(lambda s: timedelta(seconds=s))


@settings(deadline=None)
@given(start=moments, span=spans, zone=st.sampled_from([VIENNA, NEW_YORK, ZoneInfo("Australia/Lord_Howe")]))
@example(start=BEFORE_SPRING, span=HOUR, zone=VIENNA)
@example(start=AUTUMN, span=HOUR, zone=VIENNA)
@example(start=AUTUMN + HOUR, span=HOUR, zone=VIENNA)
@example(start=AUTUMN - HOUR, span=HOUR, zone=VIENNA)
@example(start=datetime(2026, 11, 1, 6, 30, tzinfo=UTC), span=HOUR, zone=NEW_YORK)
def test_every_moment_survives_in_both_parsers(start, span, zone):
    raw = made(entry(start, start + span, alarm_at=start, second_alarm_at=start + span / 2), zone=zone)
    half = (start + span / 2).replace(microsecond=0)
    expected = {"wait-7001@0123.shop-log": (start, start + span, [start, half])}
    assert by_icalendar(raw) == expected
    assert by_vobject(raw) == expected


def test_the_shops_zone_is_described_with_both_its_changes():
    raw = made(entry(datetime(2026, 7, 1, 8, tzinfo=UTC), datetime(2026, 7, 1, 9, tzinfo=UTC)))
    text = raw.decode("utf-8")
    assert "DTSTART;TZID=Europe/Vienna:20260701T100000" in text
    zone = text[text.index("BEGIN:VTIMEZONE") : text.index("END:VTIMEZONE")]
    assert "TZID:Europe/Vienna" in zone and "BEGIN:DAYLIGHT" in zone and "BEGIN:STANDARD" in zone
    assert "BEGIN:VTIMEZONE" not in made(entry(AUTUMN), zone=ZoneInfo("UTC")).decode("utf-8")


# RFC 5545, 3.1: lines end with CRLF and should be no longer than 75 octets without it
@settings(deadline=None)
@given(text=st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), max_size=200))
@example(text="Ebenholz-Stöße für den großen Eßtisch, 漆を三回塗ってから一晩乾かす; Größe 84×36\\n½ " * 3)
def test_long_lines_are_folded_and_read_back_whole(text):
    raw = made(entry(AUTUMN), words=Words(summary=text, description=f"a\n{text}", link="http://x.example/"))
    lines = raw.split(b"\r\n")
    assert lines[-1] == b"" and all(len(line) <= 75 for line in lines)
    assert b"\n" not in raw.replace(b"\r\n", b"")
    for line in lines:
        line.decode("utf-8")  # no character is cut in two
    (event,) = icalendar.Calendar.from_ical(raw).walk("VEVENT")
    other = vobject.readOne(raw.decode("utf-8")).vevent
    assert str(event["summary"]) == other.summary.value == text
    assert str(event["description"]) == other.description.value == f"a\n{text}"


def test_a_promised_day_is_a_whole_day_in_every_zone():
    raw = made(entry(None, about="commission:2026-014", day=date(2026, 10, 25), alarm_at=AUTUMN))
    expected = {"commission-2026-014@0123.shop-log": (date(2026, 10, 25), date(2026, 10, 26), [AUTUMN])}
    assert by_icalendar(raw) == by_vobject(raw) == expected


class Subscriber:
    """A calendar program: opens its link repeatedly and keeps what it saw."""

    def __init__(self, person, now):
        self.token, self.text = make_token(person, label="phone", now=now, scope=Scope.CALENDAR)
        self.http = Client()

    def open(self, **headers):
        return self.http.get(f"/calendar/{self.text}.ics", headers=headers)

    def events(self):
        answer = self.open()
        assert answer.status_code == 200
        found = icalendar.Calendar.from_ical(answer.content).walk("VEVENT")
        return {str(e["uid"]).partition("@")[0]: e for e in found}


@pytest.fixture
def in_clamps(bench):
    """Return a piece in clamps, the entries after a sweep, and its owner's subscription."""
    piece = bench.glue_up()
    refresh(bench.now)
    return bench, piece, Subscriber(bench.by, bench.now)


def test_the_feed_shows_what_waits_windows_and_promises(in_clamps):
    bench, piece, phone = in_clamps
    promised = date(2026, 6, 1)
    change_commission(bench.call(), commission=piece.commission.number, promise_on=promised)
    refresh(bench.now)
    events = phone.events()
    scrape, hold = bench.wait(piece, "scrape"), [w for w in waits_of(piece) if w.kind != "scrape"]
    window = events[f"wait-{scrape.id}"]
    assert window["dtstart"].dt == bench.glued + 20 * MINUTE
    assert window["dtend"].dt == bench.glued + 60 * MINUTE
    alarms = [a["trigger"].dt for a in window.walk("VALARM")]
    assert alarms == [bench.glued + 20 * MINUTE, bench.glued + 50 * MINUTE]
    for wait in hold:
        shown = events[f"wait-{wait.id}"]
        assert shown["dtstart"].dt == WaitEstimate.objects.get(wait=wait).latest_at and "dtend" not in shown
        assert str(shown["status"]) == "CONFIRMED"
    assert events[f"commission-{piece.commission.number}"]["dtstart"].dt == promised
    assert len(events) == 2 + len(hold)


def waits_of(piece):
    return list(Wait.objects.filter(stage__piece__number=piece.number, step=Wait.Step.RUNNING))


def test_no_money_and_no_client_in_it(in_clamps):
    bench, piece, phone = in_clamps
    number, client = piece.commission.number, piece.commission.client
    known = {"name": "Orla Fenwick", "address": "9 Mill Race", "email": "orla@fenwick.example"}
    change_client(bench.call(), client=client.id, **known)
    set_shop(bench.call(), settings={"currency": "USD"})
    line = Line(description="Top as drawn", unit_price=Decimal("3219.47"), tax_pct=Decimal(0))
    set_price(bench.call(), commission=number, lines=[line])
    change_commission(bench.call(), commission=number, promise_on=date(2026, 6, 1))
    refresh(bench.now)
    text = phone.open().content.decode("utf-8").replace("\r\n ", "")
    assert number in text
    for personal in ("@", "Orla", "Fenwick", "Mill Race", "USD", "$", "3219", "3,219"):
        assert personal not in text.replace("@" + host_of(text), "")


def host_of(text):
    """Return the part behind the @ of every entry's identifier."""
    return text.partition("UID:")[2].partition("@")[2].partition("\r\n")[0]


def test_numbers_grow_when_a_time_moves_and_never_fall(in_clamps):
    bench, piece, phone = in_clamps
    wait = bench.wait(piece, "scrape")
    numbers = [int(phone.events()[f"wait-{wait.id}"]["sequence"])]
    before = phone.open().headers["ETag"]
    refresh(bench.now + MINUTE)
    assert phone.open().headers["ETag"] == before, "nothing moved"
    assert phone.open(**{"If-None-Match": before}).status_code == 304
    for minutes in (5, -5, 90):
        WaitEstimate.objects.filter(wait=wait).update(ready_at=bench.glued + (20 + minutes) * MINUTE)
        bench.now += MINUTE
        assert refresh(bench.now) == 1
        event = phone.events()[f"wait-{wait.id}"]
        numbers.append(int(event["sequence"]))
        assert event["last-modified"].dt == event["dtstamp"].dt == bench.now.replace(microsecond=0)
        assert phone.open(**{"If-None-Match": before}).status_code == 200
    assert numbers == [0, 1, 2, 3]


def test_what_is_over_is_told_as_cancelled_for_a_week_and_keeps_its_number_when_it_comes_back(in_clamps):
    bench, piece, phone = in_clamps
    now = datetime.now(UTC)
    wait = bench.wait(piece, "scrape")
    uid = f"wait-{wait.id}"
    Wait.objects.filter(id=wait.id).update(step=Wait.Step.VOID)
    refresh(now - SHOWN_AFTER + HOUR)
    cancelled = phone.events()[uid]
    assert (str(cancelled["status"]), int(cancelled["sequence"])) == ("CANCELLED", 1)
    assert not cancelled.walk("VALARM")
    CalendarEntry.objects.filter(about=f"wait:{wait.id}").update(cancelled_at=now - SHOWN_AFTER - MINUTE)
    assert uid not in phone.events()
    Wait.objects.filter(id=wait.id).update(step=Wait.Step.RUNNING)
    refresh(now)
    back = phone.events()[uid]
    assert (str(back["status"]), int(back["sequence"])) == ("CONFIRMED", 2)


def test_opening_changes_nothing_but_the_hour_of_last_use(in_clamps, django_assert_num_queries):
    _, _, phone = in_clamps
    before, rows = head(), list(CalendarEntry.objects.values())
    phone.open()
    used = Token.objects.get(id=phone.token.id).last_used_at
    for _ in range(3):
        phone.open()
    assert Token.objects.get(id=phone.token.id).last_used_at == used
    assert head() == before and list(CalendarEntry.objects.values()) == rows
    with django_assert_num_queries(8):
        phone.open()


def test_a_link_opens_the_feed_alone_and_ends_when_revoked(in_clamps):
    bench, _, phone = in_clamps
    assert phone.open().headers["Content-Type"] == "text/calendar; charset=utf-8"
    api = phone.http.get("/api/v1/bench/", headers={"Authorization": f"Bearer {phone.text}"})
    assert api.status_code == 401
    _, whole = make_token(bench.by, label="script", now=bench.now)
    assert phone.http.get(f"/calendar/{whole}.ics").status_code == 404, "another token is no link"
    revoke_token(bench.by, token=phone.token.id, now=bench.now)
    assert phone.open().status_code == 404


def test_what_is_the_owners_alone_is_not_in_a_makers_feed(in_clamps):
    bench, piece, phone = in_clamps
    wait, maker = bench.wait(piece, "scrape"), Subscriber(a_maker(), bench.now)
    assert f"wait-{wait.id}" in maker.events()
    wait.stage.spec = {**wait.stage.spec, "owner_only": True}
    wait.stage.save()
    assert f"wait-{wait.id}" in phone.events()
    assert f"wait-{wait.id}" not in maker.events()


def test_much_at_once_is_written_bit_by_bit(in_clamps, monkeypatch, django_assert_max_num_queries):
    """Small steps, so that no sweep holds the database for long."""
    bench, piece, phone = in_clamps
    monkeypatch.setattr("jobs.domain.reminders.feeds.calendar.MOST_AT_ONCE", 10)
    scrape = bench.wait(piece, "scrape")
    more = [
        Wait(id=10**9 + n, stage=scrape.stage, kind="x", title=f"Joint {n}", holds=[], since=bench.now)
        for n in range(25)
    ]
    Wait.objects.bulk_create(more)
    WaitEstimate.objects.bulk_create([WaitEstimate(wait=w, ready_at=bench.now + HOUR) for w in more])
    with django_assert_max_num_queries(20):
        changed = [refresh(bench.now)]
    changed += [refresh(bench.now) for _ in range(3)]
    assert changed == [10, 10, 5, 0]
    assert len([uid for uid in phone.events() if uid.startswith("wait-1000000")]) == 25
