"""The first run: from the first sign-in to the first commission."""

from django.test import Client as Browser

from calcs.kit.units import mm
from jobs.domain.settings import settings
from jobs.domain.workshop.accounts import change_person
from jobs.models import Equipment, Event, Person
from tests.web.pages import Pages, head


def signed_in_at(person: Person) -> str:
    change_person(person, password="a long enough password")
    answer = Browser().post(
        "/sign-in/", {"username": person.username, "password": "a long enough password", "next": "/"}
    )
    return str(answer.headers["Location"])


def test_a_new_owner_is_led_to_the_set_up_and_a_shop_at_work_to_the_bench(owner: Person, pages: Pages):
    assert signed_in_at(owner) == "/first-run/"
    Pages(owner).send("/first-run/", {"name": "Alder Lane Tops"})
    assert signed_in_at(owner) == "/"


def test_a_maker_is_not_asked(maker: Person, db: None):
    assert signed_in_at(maker) == "/"


def test_twelve_fields_at_most_and_each_has_its_default(pages: Pages):
    first, second = (pages.get(at).form().typed for at in ("/first-run/", "/first-run/bench/"))
    asked = [name for name in (*first, *second) if not name.startswith(("form_", "csrf"))]
    assert len(asked) == 12
    assert (first["currency"], second["people_at_hand"], second["closing_time"]) == ("USD", "1", "17:30")


def test_the_bench_is_asked_in_the_units_chosen_before(pages: Pages, owner: Person):
    pages.send(
        "/first-run/", {"name": "Alder Lane Tops", "system": "metric", "currency": "EUR", "tax_pct": "19"}
    )
    owner.refresh_from_db()
    assert (owner.unit, owner.temperature_unit) == ("mm", "C")
    assert pages.get("/first-run/bench/").form().typed["shop_c"] == "20"
    typed = {"people_at_hand": "2", "clamps": "10", "reach": "1250", "planer_width": "410", "shop_c": "18"}
    pages.send("/first-run/bench/", typed)
    clamps = Equipment.objects.get()
    assert (clamps.count, clamps.reach_len) == (10, mm(1250))
    assert (settings()["people_at_hand"], settings()["shop_c"], settings()["currency"]) == (2, "18.00", "EUR")
    assert settings()["planer_width_len"] == mm(410)


def test_what_is_left_alone_makes_no_clamps_and_a_wrong_reach_saves_nothing(pages: Pages):
    page = pages.send(
        "/first-run/bench/", {"clamps": "10", "reach": "forty", "people_at_hand": "2"}, status=422
    )
    assert page.errors["reach"] and head() == 0 and page.form().typed["people_at_hand"] == "2"
    pages.send("/first-run/bench/", {"people_at_hand": "2"})
    assert not Equipment.objects.exists() and Event.objects.count() == 1


def test_every_step_can_be_skipped_and_ends_at_the_first_commission(pages: Pages):
    assert 'href="/first-run/bench/"' in pages.get("/first-run/").text
    assert 'href="/first-run/done/"' in pages.get("/first-run/bench/").text
    assert 'href="/commissions/new/"' in pages.get("/first-run/done/").text
    assert head() == 0


def test_what_was_skipped_is_asked_in_the_office(pages: Pages):
    assert "The shop has no name yet" in pages.get("/office/").words
    pages.send("/shop/shop/", {"name": "Alder Lane Tops", "address": "4 Alder Lane"})
    pages.send("/shop/papers/", {"payment": "Transfer to account 12345"})
    assert "yet" not in pages.get("/office/").words
