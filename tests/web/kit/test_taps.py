"""Queued forms that a phone sends by itself: the answers it gets, and whose they are."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from jobs.domain.stages.commands import start_stage
from jobs.domain.stages.pauses import pause_stage
from jobs.domain.stages.wait_commands import finish_wait
from jobs.domain.stock.boards import add_board
from jobs.domain.stock.supplies import add_supply
from jobs.models import Board, Event, Person, Piece, Reading, Supply, Wait
from tests.shop_fixtures import INCHES, Work, a_call, good
from tests.web.conftest import at_the_glue, in_clamps
from tests.web.pages import Pages, head


def tap(pages: Pages, path: str, fields: dict[str, Any], **headers: str) -> tuple[int, dict[str, Any]]:
    """Send a queued form as its person's phone does."""
    assert pages.person
    answer = pages.http.post(path, fields, headers={"Tap-By": pages.person.id, "Tap-Later": "yes", **headers})
    return answer.status_code, answer.json()


def shelved(work: Work) -> tuple[int, int]:
    """Return a board on the rack and a pot of glue on the shelf."""
    sizes = {"thickness": "2", "width": "6", "length": "120"}
    added = add_board(work.call(), units=INCHES, species="black walnut", **sizes)
    add_supply(work.call(), kind="glue", name="Slow wood glue", level="full")
    return added.events[0].data["board"], Supply.objects.get().id


def url(piece: Piece, verb: str, stage: str = "survey") -> str:
    return f"/pieces/{piece.number}/stages/{stage}/{verb}/"


def test_it_lands_with_the_moment_it_was_tapped_and_tells_the_version_it_made(pages: Pages, piece: Piece):
    tapped = timezone.now() - timedelta(hours=2)
    seen = Piece.objects.get().version
    status, told = tap(pages, url(piece, "start"), {"form_at": tapped.isoformat(), "form_seen": str(seen)})
    begun = Event.objects.get(kind="stage_started")
    assert (status, begun.occurred_at) == (200, tapped)
    assert begun.recorded_at - tapped > timedelta(hours=1)
    assert told["says"] == "Site survey and drawing approved: started."
    assert told["versions"] == {piece.number: Piece.objects.get().version}
    assert told["where"] == f"/pieces/{piece.number}/stages/survey/"


def test_sent_again_it_lands_once_with_its_first_time(pages: Pages, piece: Piece):
    tapped = timezone.now() - timedelta(hours=1)
    first = tap(pages, url(piece, "start"), {"form_key": "k", "form_at": tapped.isoformat()})
    later = {"form_key": "k", "form_at": timezone.now().isoformat(), "form_seen": str(head())}
    assert tap(pages, url(piece, "start"), later) == first
    assert [e.occurred_at for e in Event.objects.filter(kind="stage_started")] == [tapped]


def test_it_leaves_no_word_for_the_next_page_unless_one_follows(pages: Pages, piece: Piece):
    tap(pages, url(piece, "start"), {})
    assert "started." not in pages.get("/").words
    assert pages.person
    pages.http.post(url(piece, "pause"), {}, headers={"Tap-By": pages.person.id})
    pages.get("/", **{"For-Later": "yes"})  # a page fetched only to be kept does not use the message up
    assert "paused. What was worked so far is kept." in pages.get("/").words


def test_what_is_refused_is_told_as_it_would_stand_on_the_page(pages: Pages, work: Work, slow_piece: Piece):
    at_the_glue(work, slow_piece)
    before = head()
    cold = {"measured.shop_temperature": "41", "measured.wood_and_glue_warm": "yes"}
    status, told = tap(pages, url(slow_piece, "start", "glue-up"), cold)
    assert (status, told["code"]) == (409, "gate-shut")
    assert told["says"].startswith("Shop temperature: 41 °F. Allowed: 55 °F to 90 °F")
    status, told = tap(pages, url(slow_piece, "start", "glue-up"), {"when": "some day"})
    assert (status, told["code"]) == (422, "invalid") and told["says"].startswith("When it happened: ")
    assert head() == before


def test_what_somebody_did_already_is_told_with_who_and_when(
    pages: Pages, piece: Piece, maker: Person, work: Work
):
    seen, at = Piece.objects.get().version, timezone.now() - timedelta(minutes=3)
    start_stage(a_call(maker, at), piece=piece.number, stage="survey", units=INCHES)
    status, told = tap(pages, url(piece, "start"), {"form_seen": str(seen)})
    assert (status, told["code"], told["by"]) == (409, "already-done", str(maker))
    assert told["at"] == at.isoformat(timespec="milliseconds").replace("+00:00", "Z")
    pause_stage(a_call(maker, timezone.now()), piece=piece.number, stage="survey")
    assert tap(pages, url(piece, "pause"), {"form_seen": str(seen)})[1]["by"] == str(maker)


def test_a_wait_that_was_ended_already_says_by_whom(
    pages: Pages, maker: Person, work: Work, slow_piece: Piece
):
    in_clamps(work, slow_piece, minutes=40)
    wait = Wait.objects.get(kind="unclamp").id
    finish_wait(a_call(maker, timezone.now()), wait=wait, reason="the offcut broke in the wood")
    status, told = tap(pages, f"/waits/{wait}/end/", {"reason": "again"})
    assert (status, told["code"], told["by"]) == (409, "already-done", str(maker))


def test_what_changed_meanwhile_is_told_with_its_version_now(pages: Pages, piece: Piece, maker: Person):
    seen = Piece.objects.get().version
    start_stage(a_call(maker, timezone.now()), piece=piece.number, stage="survey", units=INCHES)
    fields = {f"measured.{key}": value for key, value in good(piece, "survey", "finish").items()}
    status, told = tap(pages, url(piece, "finish"), {**fields, "form_seen": str(seen)})
    assert (status, told["code"]) == (409, "stale")
    assert tap(pages, url(piece, "finish"), {**fields, "form_seen": told["version"]})[0] == 200


@pytest.mark.parametrize(
    "fields, headers, names",
    [
        ({"form_at": "yesterday"}, {}, "form at"),
        ({"form_at": "2026-05-24T14:30:00"}, {}, "form at"),  # no zone
        ({}, {"Device-Time": "noon"}, "Device-Time"),
        ({"form_at": (timezone.now() + timedelta(days=1)).isoformat()}, {}, "ahead of the shop's clock"),
    ],
)
def test_a_time_that_cannot_be_is_refused(
    pages: Pages, piece: Piece, fields: dict[str, str], headers: dict[str, str], names: str
):
    before = head()
    status, told = tap(pages, url(piece, "start"), fields, **headers)
    assert status == 422 and (names in told["says"] or "time with its zone" in told["says"])
    assert head() == before


def test_a_clock_that_is_wrong_is_told(pages: Pages, piece: Piece):
    slow = (timezone.now() - timedelta(minutes=10)).isoformat()
    (notice,) = tap(pages, url(piece, "start"), {}, **{"Device-Time": slow})[1]["notices"]
    assert "seconds behind the shop's" in notice


def test_nobody_sends_anothers_tap(pages: Pages, maker_pages: Pages, piece: Piece, owner: Person):
    before = head()
    for person in (maker_pages, Pages()):
        answer = person.http.post(url(piece, "start"), {}, headers={"Tap-By": owner.id})
        assert (answer.status_code, answer.json()["code"]) == (401, "sign-in")
    assert head() == before


def test_what_is_not_there_or_not_theirs_is_told_too(maker_pages: Pages, piece: Piece):
    assert tap(maker_pages, "/pieces/x/stages/y/start/", {})[0] == 404
    assert tap(maker_pages, "/reminders/answer/", {"wait": "none"})[0] == 422
    owners = next(s.key for s in piece.stages.all() if s.spec["owner_only"])
    assert tap(maker_pages, url(piece, "start", owners), {})[0] == 403


def test_what_is_taken_down_at_the_bench_lands_with_its_moment(pages: Pages, work: Work):
    board, supply = shelved(work)
    tapped = timezone.now() - timedelta(hours=2)
    at = {"form_at": tapped.isoformat(timespec="milliseconds")}
    boards, shelf = f"/stock/boards/{board}/moisture/", f"/stock/supplies/{supply}/level/"
    for path, fields, stream, seen in (
        (boards, {"pct": "8.5"}, f"board:{board}", Board.objects.get().version),
        (shelf, {"level": "low"}, f"supply:{supply}", Supply.objects.get().version),
    ):
        status, told = tap(pages, path, {**fields, **at, "form_seen": str(seen), "form_key": stream})
        landed = Event.objects.filter(stream=stream).latest("seq")
        assert (status, told["versions"]) == (200, {stream: landed.seq})
        assert abs(landed.occurred_at - tapped) < timedelta(milliseconds=1)
        before = head()
        assert tap(pages, path, {**fields, **at, "form_seen": str(seen), "form_key": stream})[0] == 200
        assert head() == before  # sent twice, it runs once
    assert tap(pages, boards, {"pct": "101"})[1]["says"].startswith("Moisture content")
    assert tap(pages, shelf, {"level": "heaps"})[0] == 422


def test_a_reading_of_the_air_sent_twice_is_kept_once_with_its_moment(pages: Pages):
    tapped = timezone.now() - timedelta(hours=2)
    typed = {"temperature": "68", "humidity": "44", "form_at": tapped.isoformat(timespec="milliseconds")}
    assert [tap(pages, "/climate/take/", typed)[1]["says"] for _ in range(2)] == [
        "The reading is kept.",
        "This reading was there already.",
    ]
    assert abs(Reading.objects.get().at - tapped) < timedelta(milliseconds=1)
    wrong = tap(pages, "/climate/take/", {**typed, "temperature": "680"})
    assert wrong[0] == 422 and wrong[1]["says"].startswith("Temperature: ")


def test_a_note_without_words_is_refused_as_it_would_stand_on_the_page(pages: Pages, piece: Piece):
    assert tap(pages, url(piece, "note"), {"words": " "})[1]["says"].startswith("What the next one")
    status, told = tap(pages, url(piece, "note"), {"words": "Scrape it after an hour.", "form_key": "n"})
    assert (status, told["says"]) == (200, "The note is kept for next time.")
