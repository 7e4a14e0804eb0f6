"""All waits on one time axis: numbers for the drawing, and the same in words."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.template.loader import render_to_string
from hypothesis import given
from hypothesis import strategies as st

from jobs.web.wait_axis import Axis, wait_axis

NOW = datetime(2026, 11, 30, 10, 42, tzinfo=UTC)
"""The shop of the tests keeps UTC."""


def hours(count: float) -> timedelta:
    return timedelta(hours=count)


def a_wait(**other: Any) -> dict[str, Any]:
    since = other.pop("since", NOW - hours(2))
    ready = other.pop("ready_at", NOW + hours(2))
    usual = {
        "id": 1, "kind": "unclamp", "title": "Glue holding, clamps stay on", "made_by": "glue-up",
        "panel": "", "holds": ["clamps-off"], "since": since, "ready_at": ready, "closes_at": None,
        "earliest_at": None, "likely_at": None, "latest_at": None, "suspect": False,
        "paused": False, "is_missed": False, "cold_at": None, "first_told_at": None, "measured_until": None,
        "reason": "",
        "is_over": ready is not None and ready <= NOW,
    }  # fmt: skip
    return {**usual, **other}


def a_card(**other: Any) -> dict[str, Any]:
    return {
        "piece": "2026-003-1",
        "label": "Dining table",
        "wood": {"look": "walnut"},
        "wait": a_wait(**other),
    }


def row(**other: Any) -> dict[str, Any]:
    found: dict[str, Any] = wait_axis([a_card(**other)], NOW)["rows"][0]
    return found


def test_the_axis_begins_as_the_shop_shut_the_day_before_and_now_lies_on_it():
    axis = wait_axis([], NOW)
    assert axis["start"] == datetime(2026, 11, 29, 18, tzinfo=UTC)
    assert (axis["now"], axis["clock"], axis["from"]) == ("16.7", "10:42", 10)
    assert axis["days"] == [("6", "Mon 30", False), ("30", "Tue 1", False)]
    assert [says for _, says in axis["hours"]] == ["6", "18", "6", "12"], "12 gives way to the clock"


def test_the_clock_covers_no_day():
    late, early = (wait_axis([], NOW.replace(hour=hour))["days"] for hour in (22, 3))
    assert late == [("6", "Mon 30", False), ("30", "Tue 1", True)], "it stands clear of the clock"
    assert early[0] == ("6", "", False), "today needs no words where the clock stands on it"


def test_a_wait_fills_up_to_now_and_is_soft_from_its_earliest_to_its_latest_end():
    found = row(earliest_at=NOW + hours(1), likely_at=NOW + hours(2), latest_at=NOW + hours(6))
    assert found["bar"] | {"wood": ""} == {
        "a": "14.7", "b": "22.7", "look": "joint", "wood": "", "set": "25", "maybe": "37.5",
    }  # fmt: skip
    assert (found["at"], found["under"]) == ("12:42", "11:42 to 16:42")


def test_an_open_window_is_a_wedge_that_ends_at_its_stop():
    found = row(kind="recoat", ready_at=NOW - hours(9), closes_at=NOW + hours(1), since=NOW - hours(20))
    assert found["bar"] is None
    assert found["window"] == {"a": "7.7", "b": "17.7", "gone": "90"}
    assert (found["at"], found["under"]) == ("11:42", "window closes")


def test_squeeze_out_is_a_thin_window_under_the_clamps_of_the_same_glue_up():
    scrape = a_card(id=2, kind="scrape", ready_at=NOW + hours(0.5), closes_at=NOW + hours(1))
    rows = wait_axis([a_card(), scrape], NOW)["rows"]
    assert len(rows) == 1 and rows[0]["thin"] == {"a": "17.2", "b": "17.7", "gone": "0"}
    assert wait_axis([scrape], NOW)["rows"][0]["says"] == "Squeeze-out", "alone it has its own row"


@pytest.mark.parametrize(
    ("what", "at", "under"),
    [
        ({"suspect": True}, "test it", "it may not have set"),
        ({"ready_at": None}, "when it is done", "nobody can say when"),
        ({"ready_at": NOW - hours(3), "closes_at": NOW - hours(1), "is_missed": True},
         "9:42", "window closed"),
        ({"ready_at": NOW - hours(1)}, "ready", "9:42"),
        ({"ready_at": NOW + hours(24)}, "Tue 10:42", ""),
        ({"ready_at": NOW + hours(264), "earliest_at": NOW + hours(216), "latest_at": NOW + hours(336)},
         "Fri 11 Dec", "9 to 14 Dec"),
    ],
)  # fmt: skip
def test_each_row_says_in_words_what_is_drawn(what: dict[str, Any], at: str, under: str):
    found = row(**what)
    assert (found["at"], found["under"]) == (at, under)


def test_what_ends_next_stands_first_and_what_has_no_end_last():
    later, never, soon = a_card(id=1, ready_at=NOW + hours(9)), a_card(ready_at=None), a_card(id=3)
    later, never, soon = ({**c, "label": n} for c, n in ((later, "later"), (never, "never"), (soon, "soon")))
    assert [r["about"] for r in wait_axis([later, never, soon], NOW)["rows"]] == ["soon", "later", "never"]


def test_what_lies_with_a_client_is_a_sheet_of_paper():
    asked = {
        "wait": None, "piece": "2026-004", "label": "Kitchen counter", "says": "Quote with client",
        "url": "/x/", "since": NOW - hours(96), "until": NOW + hours(96),
    }  # fmt: skip
    found = wait_axis([asked], NOW)["rows"][0]
    assert (
        found["bar"]["look"] == "paper" and found["at"] == "Fri 10:42" and found["under"] == "sent Thu 10:42"
    )


@given(at=st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1)).map(lambda d: d.replace(tzinfo=UTC)))
def test_now_lies_on_the_axis_and_on_the_part_of_it_that_a_phone_shows(at: datetime):
    axis = wait_axis([], at)
    assert 6 <= float(axis["now"]) < 30
    assert axis["from"] + 5 <= float(axis["now"]) < axis["from"] + 32 and axis["from"] + 32 <= 48


@given(since=st.integers(-2000, 0), lasts=st.integers(0, 4000), spread=st.integers(0, 500))
def test_no_drawing_leaves_what_can_be_drawn(since: int, lasts: int, spread: int):
    ready = NOW + hours(since + lasts)
    bar = row(
        since=NOW + hours(since),
        ready_at=ready,
        earliest_at=ready,
        likely_at=ready,
        latest_at=ready + hours(spread),
    )["bar"]
    assert -20 <= float(bar["a"]) < float(bar["b"]) <= 80.25
    assert 0 <= float(bar["set"]) <= 100 and 0 <= float(bar["maybe"] or 0) <= 100


def test_the_part_draws_with_numbers_only_and_hides_the_drawing_from_readers():
    text = render_to_string("web/parts/waits.html", {"axis": wait_axis([a_card()], NOW)})
    assert text.count('aria-hidden="true"') == 3 and "003 Dining table" in " ".join(text.split())
    assert 'href="/pieces/2026-003-1/stages/clamps-off/"' in text
    assert Axis.around(NOW).start.isoformat() in text


def test_the_air_says_what_it_does_to_a_wait():
    assert row()["note"] == ""
    cold = row(cold_at=NOW + hours(3), ready_at=NOW + hours(9))
    assert "Too cold from 13:42 on" in cold["note"] and cold["cold"]
    assert "stands still" in row(paused=True)["note"]
    moved = row(first_told_at=NOW + hours(1), measured_until=NOW, reason="wood fell to 59 °F")
    assert moved["note"] == "Wood fell to 59 °F: 11:42 → 12:42" and not moved["cold"]
