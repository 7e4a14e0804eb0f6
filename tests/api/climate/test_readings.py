"""Readings of temperature and humidity through the API."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.domain.workshop.accounts import make_token
from jobs.models import Person, Reading
from jobs.models.people import Scope
from tests.api.client import Api
from tests.shop_fixtures import NOON


@pytest.fixture
def sensor(owner: Person) -> Api:
    api = Api()
    _, text = make_token(owner, label="shelf over the bench", now=NOON, scope=Scope.READINGS)
    api.headers["Authorization"] = f"Bearer {text}"
    return api


def at(minutes: int) -> str:
    return (NOON + timedelta(minutes=minutes)).isoformat()


def test_a_sensor_hands_in_one_reading_in_its_own_unit(sensor: Api):
    told = sensor.post("readings/", {"at": at(0), "temperature": 20.5, "humidity": 45})
    first = {
        "place": "shop", "at": NOON.isoformat().replace("+00:00", "Z"), "temperature_c": "20.50",
        "temperature_f": "68.90", "humidity": "45.00",
    }  # fmt: skip
    assert told.status_code == 200
    assert told.data == {"kept": 1, "first": first, "repeated": 0, "refused": []}
    kept = Reading.objects.get()
    assert (kept.place, str(kept.temp_c), str(kept.rh_pct)) == ("shop", "20.50", "45.00")
    assert kept.source.startswith("sensor-")


def test_fahrenheit_is_taken_where_it_is_told(sensor: Api, api: Api):
    sensor.post("readings/", {"at": at(0), "temperature": 68, "temperature_unit": "F"})
    sensor.post("readings/", {"at": at(1), "temperature": "50 F"})
    api.post("readings/", {"at": at(2), "temperature": 32})  # the owner's own unit is °F
    assert [str(r.temp_c) for r in Reading.objects.order_by("at")] == ["20.00", "10.00", "0.00"]


def test_a_person_is_told_how_a_bare_number_was_understood(api: Api):
    first = api.post("readings/", {"at": at(0), "temperature": 20.5}).data["first"]
    assert (first["temperature_c"], first["temperature_f"], first["humidity"]) == ("-6.39", "20.50", None)
    damp = api.post("readings/", {"at": at(1), "humidity": 45}).data["first"]
    assert (damp["temperature_c"], damp["temperature_f"], damp["humidity"]) == (None, None, "45.00")


def test_a_list_late_and_out_of_order_is_kept_and_harmless_again(sensor: Api):
    readings = [{"at": at(n), "temperature": 20 + n / 10, "humidity": 40} for n in (30, 0, 15, 45)]
    assert sensor.post("readings/", {"readings": readings}).data["kept"] == 4
    again = sensor.post("readings/", {"readings": readings[::-1] + [readings[0]]})
    assert again.data == {"kept": 0, "first": None, "repeated": 5, "refused": []}
    assert Reading.objects.count() == 4


def test_the_impossible_is_refused_one_by_one_and_the_rest_kept(sensor: Api):
    ahead = (timezone.now() + timedelta(hours=1)).isoformat()
    readings = [
        {"at": at(0), "temperature": 20},
        {"at": at(1), "temperature": 180},
        {"at": at(2), "humidity": 101},
        {"at": ahead, "temperature": 20},
        {"at": at(3)},
        {"at": at(4), "temperature": 20, "place": "cellar"},
        {"at": at(5), "temprature": 20},
        {"at": at(0), "temperature": 21},
        {"at": "2026-03-02T12:00:00", "temperature": 20},
        {"at": at(6), "humidity": "45 %"},
    ]
    told = sensor.post("readings/", {"readings": readings}).data
    assert (told["kept"], told["repeated"]) == (2, 0)
    assert [(r["entry"], r["field"]) for r in told["refused"]] == [
        (2, "temperature"), (3, "humidity"), (4, "at"), (5, "temperature"), (6, "place"), (7, "temprature"),
        (8, "at"), (9, "at"),
    ]  # fmt: skip
    assert all(r["detail"] for r in told["refused"])
    assert told["refused"][0]["allowed"] == "-40 °C to 60 °C"
    assert Reading.objects.count() == 2


def test_five_thousand_are_taken_at_once_and_no_more(sensor: Api):
    readings = [{"at": at(0), "temperature": 20}] * 5000
    too_many = sensor.post("readings/", {"readings": [*readings, {"at": at(1), "temperature": 20}]})
    assert too_many.status_code == 422 and too_many.data["errors"][0]["field"] == "readings"
    assert not Reading.objects.exists()
    told = sensor.post("readings/", {"readings": readings}).data
    assert (told["kept"], told["repeated"]) == (1, 4999)


def test_what_cannot_be_read_is_told_back_with_its_first_sixty_characters(sensor: Api):
    (told,) = sensor.post("readings/", {"readings": [{"temperature": "9" * 61}]}).data["refused"]
    assert told["value"] == "9" * 60


def test_one_impossible_reading_is_a_problem(sensor: Api):
    problem = sensor.post("readings/", {"temperature": 99})
    assert problem.status_code == 422 and problem.data["errors"][0]["field"] == "temperature"
    assert not Reading.objects.exists()


def test_another_figure_for_the_same_moment_is_refused_until_the_first_is_voided(sensor: Api, api: Api):
    sensor.post("readings/", {"at": at(0), "temperature": 20})
    other = sensor.post("readings/", {"at": at(0), "temperature": 25})
    assert other.status_code == 422 and Reading.objects.count() == 1
    bad = Reading.objects.get()
    assert api.post(f"readings/{bad.id}/void/").data["voided_at"]
    assert api.post(f"readings/{bad.id}/void/").status_code == 409
    assert api.post("readings/999999/void/").status_code == 404
    assert sensor.post("readings/", {"at": at(0), "temperature": 20}).data["repeated"] == 1
    assert sensor.post("readings/", {"at": at(0), "temperature": 25}).data["kept"] == 1
    assert sensor.post("readings/", {"at": at(0), "temperature": 25}).data["repeated"] == 1
    assert [str(r.temp_c) for r in Reading.objects.filter(voided_at=None)] == ["25.00"]


def test_people_read_them_by_place_and_time(sensor: Api, maker_api: Api):
    sensor.post("readings/", {"readings": [{"at": at(n), "temperature": n} for n in range(5)]})
    sensor.post("readings/", {"at": at(0), "humidity": 50, "place": "wood store"})
    found = maker_api.get("readings/?place=shop&since=2026-03-02T12:02:00Z&limit=2").data
    assert [r["temp_c"] for r in found["results"]] == ["4.00", "3.00"]
    assert sensor.get("readings/").status_code == 403


def test_a_list_has_nothing_beside_it(sensor: Api):
    both = sensor.post("readings/", {"place": "shop", "readings": []})
    assert both.status_code == 422 and both.data["errors"][0]["field"] == "place"


def test_a_token_says_what_it_opens(api: Api):
    made = api.post("tokens/", {"label": "shelf", "scope": "readings"}).data
    assert made["token"]["scope"] == "readings"
    assert api.post("tokens/", {"label": "shelf", "scope": "all"}).status_code == 422
