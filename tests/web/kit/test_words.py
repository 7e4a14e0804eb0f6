"""Times, durations and money as a screen shows them."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import call_command

from jobs.web.kit.formatting import (
    day_words,
    full_day_words,
    moment_words,
    money_words,
    number_words,
    span_words,
)
from jobs.web.stages.wait_progress import drawn

NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)  # a Monday


@pytest.mark.parametrize(
    "span, says",
    [
        (timedelta(seconds=-5), "0 s"),
        (timedelta(seconds=59.4), "59 s"),
        (timedelta(seconds=60), "1 min"),
        (timedelta(minutes=59, seconds=59), "59 min"),
        (timedelta(hours=3, minutes=12), "3 h 12 min"),
        (timedelta(hours=2), "2 h"),
        (timedelta(days=2, hours=4), "2 d 4 h"),
        (timedelta(days=12, hours=4), "12 days"),
    ],
)
def test_a_span_is_said_roughly(span: timedelta, says: str):
    assert span_words(span) == says


@pytest.mark.parametrize(
    "at, says",
    [
        (NOW.replace(hour=14, minute=5), "today 14:05"),
        (NOW - timedelta(days=1), "yesterday 12:00"),
        (NOW + timedelta(days=1), "tomorrow 12:00"),
        (NOW + timedelta(days=3), "Thu 12:00"),
        (NOW - timedelta(days=6), "Tue 12:00"),
        (NOW + timedelta(days=7), "9 Mar 12:00"),
        (NOW - timedelta(days=90), "2 Dec 2025 12:00"),
        (None, ""),
    ],
)
def test_a_moment_stands_on_the_shops_clock(at: datetime | None, says: str):
    assert moment_words(at, NOW) == says


def test_days():
    today = NOW.date()
    assert day_words(date(2026, 3, 5), today) == "Thu"
    assert full_day_words(date(2026, 3, 12), today) == "Thu 12 Mar, in 10 days"
    assert full_day_words(date(2025, 12, 24), today) == "Wed 24 Dec 2025, 68 days ago"


def test_money_and_numbers():
    assert money_words(Decimal("1234.5"), "USD") == "1,234.50 USD"
    assert money_words(None, "USD") == ""
    assert [number_words(n) for n in ("2.000", "0.50", 7, None)] == ["2", "0.5", "7", ""]


class TestGlueLine:
    """The line is as long as the wait, or up to the closing of its window."""

    def wait(self, **more: object) -> dict[str, object]:
        times = {"since": NOW - timedelta(hours=1), "ready_at": NOW + timedelta(hours=3), "closes_at": None}
        range_ = dict.fromkeys(("earliest_at", "latest_at", "first_told_at", "measured_until", "cold_at"))
        told = {"basis": {}, "suspect": False, "is_over": False, "is_missed": False, "paused": False}
        return {**times, **range_, **told, **more}

    def test_an_hour_of_four_fills_a_quarter(self):
        line = drawn(self.wait(), NOW)
        assert (line["fill"], line["ready_mark"], line["standing"]) == (25, 100, "running")

    def test_a_window_lengthens_the_line_and_ready_stands_on_it(self):
        over = self.wait(
            ready_at=NOW - timedelta(minutes=30), closes_at=NOW + timedelta(hours=1), is_over=True
        )
        line = drawn(over, NOW)
        assert (line["fill"], line["ready_mark"], line["standing"]) == (50, 25, "open")

    def test_past_its_end_it_is_full(self):
        assert drawn(self.wait(ready_at=NOW - timedelta(minutes=1), is_over=True), NOW)["fill"] == 100

    @pytest.mark.parametrize(
        "more, standing",
        [
            ({"suspect": True, "ready_at": None}, "suspect"),
            ({"ready_at": None}, "untimed"),
            ({"is_over": True}, "ready"),
            ({"is_over": True, "is_missed": True, "closes_at": NOW}, "missed"),
        ],
    )
    def test_its_standing_in_a_word(self, more: dict[str, object], standing: str):
        assert drawn(self.wait(**more), NOW)["standing"] == standing


def test_every_text_is_printed_under_its_file():
    printed = StringIO()
    call_command("words", stdout=printed)
    lines = printed.getvalue().splitlines()
    office = lines[lines.index("jobs/templates/web/workshop/office.html") :]
    assert "  Owed to the shop" in office[: office.index("")]
    assert "jobs/domain/routes/edge-glued-film.toml" in lines and len(lines) > 3000
