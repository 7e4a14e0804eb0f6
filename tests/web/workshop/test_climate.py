"""The climate page, and what waits say of the air on the bench and at their stage."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from jobs.domain.workshop.accounts import make_token
from jobs.models import Person, Reading, Wait
from jobs.models.people import Scope
from tests.api.client import Api
from tests.shop_fixtures import Work, measured
from tests.web.conftest import in_clamps
from tests.web.kit.test_queries import MOST
from tests.web.pages import Pages

HOUR = timedelta(hours=1)


def air(temps: list[float], *, humidity: int | None = 45, place: str = "shop") -> None:
    """Take hourly readings of these temperatures, up to now."""
    now = timezone.now()
    begin = now - (len(temps) - 1) * HOUR
    entries = [
        {"at": begin + n * HOUR, "temperature": str(t), "humidity": humidity, "place": place}
        for n, t in enumerate(temps)
    ]
    assert not measured(entries, source="sensor-1", temperature_unit="C", now=now).refused


@pytest.mark.django_db
def test_the_hour_that_comes_twice_in_autumn_is_two_hours():
    first = datetime(2026, 11, 1, 1, 30, tzinfo=ZoneInfo("America/New_York"))
    told = [{"at": first, "temperature": "12"}, {"at": first.replace(fold=1), "temperature": "10"}]
    for _ in range(2):
        taken = measured(told, source="sensor-1", temperature_unit="C", now=first + 30 * HOUR)
        assert not taken.refused
    assert taken.repeated == 2
    assert [r.temp_c for r in Reading.objects.order_by("at")] == [12, 10]


def test_an_empty_page_teaches_how_to_measure(maker_pages: Pages):
    page = maker_pages.get("/climate/")
    assert "Nothing is measured yet" in page.words and "/api/v1/readings/" in page.text
    assert '"temperature": 20.5, "temperature_unit": "C"' in page.text
    assert '<svg class="air"' not in page.text
    assert "/climate/" in maker_pages.get("/office/").text


def test_a_reading_by_hand_is_kept_drawn_and_taken_back(pages: Pages, owner: Person):
    typed = {"temperature": "68", "humidity": "44", "place": "finishing room"}
    pages.send("/climate/", typed, to="/climate/take/#by-hand")
    kept = Reading.objects.get()
    assert (str(kept.temp_c), kept.place, kept.source) == ("20.00", "finishing room", owner.id)
    page = pages.get("/climate/")
    assert "68 °F" in page.words and '<svg class="air"' in page.text and "Not measured: shop" in page.words
    pages.send("/climate/", {}, to=f"/climate/readings/{kept.id}/void/")
    assert "taken back" in pages.get("/climate/").words
    wrong = pages.send("/climate/", {"temperature": "680"}, to="/climate/take/#by-hand", status=422)
    assert "-40 °F to 140 °F" in wrong.errors["temperature"] and Reading.objects.count() == 1
    old = {"temperature": "68", "at": "0026-11-28T10:00"}
    wrong = pages.send("/climate/", old, to="/climate/take/#by-hand", status=422)
    assert "0026-11-28 is before this century" in wrong.errors["at"] and Reading.objects.count() == 1


def test_a_sensor_stands_there_with_what_it_said(pages: Pages, owner: Person):
    _, text = make_token(owner, label="shelf over the bench", now=timezone.now(), scope=Scope.READINGS)
    assert "shelf over the bench never seen yet" in pages.get("/climate/").words
    sensor = Api()
    sensor.headers["Authorization"] = f"Bearer {text}"
    assert sensor.post("readings/", {"temperature": 20}).data["kept"] == 1
    words = pages.get("/climate/").words
    assert "shelf over the bench last seen today" in words and "shop shelf over the bench 68 °F" in words


@pytest.mark.parametrize("days", ["1", "7", "30"])
def test_waits_lie_in_the_air_they_rest_on(
    pages: Pages, work: Work, slow_piece, days: str, django_assert_max_num_queries
):
    in_clamps(work, slow_piece, minutes=120)
    air([20, 20, 19, 16, 15, 14.5, 14])
    with django_assert_max_num_queries(MOST):
        page = pages.get(f"/climate/?days={days}")
    waits = Wait.objects.filter(stage__piece=slow_piece, step=Wait.Step.RUNNING)
    drawn = page.text.count('class="wait line"') + page.text.count('class="wait bad"')
    assert drawn == sum("product" in w.basis for w in waits) > 0
    assert "NaN" not in page.text and 'class="curve ahead"' in page.text


def test_what_moved_a_wait_and_why_stands_at_it(pages: Pages, work: Work, slow_piece):
    in_clamps(work, slow_piece, minutes=180)
    air([20] * 20 + [16, 14, 13.5, 13.2])
    words = pages.get("/bench/now/").words
    assert "fell to 5" in words and "→" in words
    stage = pages.get(f"/pieces/{slow_piece.number}/stages/clamps-off/").words
    assert "fell to 5" in stage and "→" in stage


def test_a_cold_night_ahead_is_said_loudly(pages: Pages, work: Work, slow_piece):
    in_clamps(work, slow_piece, minutes=30)
    hour = timezone.localtime().hour
    night = [(hour + ahead) % 24 for ahead in (1, 2, 3)]  # the coming hours, on every day before
    air([5 if (hour - back) % 24 in night else 20 for back in range(24 * 4 - 1, -1, -1)])
    for path in ("/bench/now/", f"/pieces/{slow_piece.number}/stages/clamps-off/"):
        assert "Too cold from" in pages.get(path).words
