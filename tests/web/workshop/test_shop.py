"""The shop's settings, product sheets and the log."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.utils import timezone

from calcs.kit.units import inches
from jobs.domain.papers.letterhead import heading
from jobs.domain.settings import settings
from jobs.domain.stock.product_sheets import product
from jobs.domain.workshop.accounts import change_person
from jobs.domain.workshop.commands import SETTINGS
from jobs.log.projections.shop import PRIVATE
from jobs.models import Commission, Delivery, Event, Person, Piece, PrivateText, Sheet, Stage, Wait
from jobs.web.kit.shop_sections import SECTIONS
from jobs.web.workshop.records import EVENTS_PER_PAGE
from tests.documents.reading import words
from tests.documents.test_look import DRAWN
from tests.flush import no_triggers
from tests.needs import needs
from tests.shop_fixtures import Work, a_client, a_commission
from tests.stories import PERSONAL, a_long_story
from tests.web.conftest import in_clamps
from tests.web.pages import Pages, head


class TestSettings:
    def test_only_what_differs_is_written(self, pages: Pages):
        pages.send("/shop/money/", {"tax_pct": "7.5"})
        event = Event.objects.get()
        assert event.data["settings"] == {"tax_pct": "7.5"}
        pages.send("/shop/shop/", {"name": "Lindenau Table Works"})
        assert settings()["tax_pct"] == "7.5"
        assert pages.get("/shop/shop/").form().typed["name"] == "Lindenau Table Works"

    def test_every_setting_lies_in_one_section_that_the_page_leads_to(self, pages: Pages):
        leads_to = re.findall(r'href="/shop/(\w+)/"', pages.get("/shop/").text)
        assert leads_to == list(SECTIONS)
        named = [name for _title, _what, names in SECTIONS.values() for name in names]
        assert sorted(named) == sorted((*SETTINGS, *PRIVATE))
        pages.get("/shop/cellar/", status=404)

    def test_terms_of_a_country_stand_on_papers_of_its_clients(self, pages: Pages, work: Work):
        pages.send("/shop/papers/", {"terms": "Pay in ten days."})
        assert "have a lawyer check it" in pages.get("/shop/terms/?country=DE").words
        example = pages.get("/shop/terms/?country=DE").form().typed["text"]
        assert "Eigentumsvorbehalt, § 449 BGB" in example and "Article 16 (c)" in example
        pages.send("/shop/terms/", {"country": "DE", "text": example})
        page = pages.get("/shop/terms/?country=DE")
        assert "your own text" in page.words and "lawyer" not in page.words
        for country, terms in (("DE", example), ("AT", "Pay in ten days."), ("", "Pay in ten days.")):
            client = a_client(work.call(), "Edda", country=country)
            said = heading(a_commission(work.call(), client))["shop"]["terms"]
            assert said == terms.replace("\r\n", "\n"), country
        pages.send("/shop/terms/", {"country": "DE", "text": ""})
        assert settings()["terms_abroad"] == {}
        assert "two letters" in pages.send("/shop/terms/", {"text": "So"}, status=422).errors["country"]

    def test_a_price_can_be_taken_away_again(self, pages: Pages):
        pages.send("/shop/wood/", {"price_per_board_foot": "11.5"})
        pages.send("/shop/wood/", {"price_per_board_foot": ""})
        assert settings()["price_per_board_foot"] is None

    @pytest.mark.parametrize(
        "section, wrong, field, says",
        [
            ("money", {"tax_pct": "101"}, "tax_pct", "0 to 100"),
            ("money", {"tax_pct": ""}, "tax_pct", "Not a number"),
            ("money", {"currency": "dollars"}, "currency", "three letters"),
            ("air", {"shop_c": "9"}, "shop_c", "14 °F to 122 °F"),
        ],
    )
    def test_what_is_wrong_stands_beside_its_field(
        self, pages: Pages, section: str, wrong: dict[str, str], field: str, says: str
    ):
        page = pages.send(f"/shop/{section}/", wrong, status=422)
        assert says in page.errors[field] and head() == 0
        assert page.form().typed[field] == wrong[field]

    def test_temperatures_are_in_the_persons_unit(self, pages: Pages):
        assert pages.get("/shop/air/").form().typed["shop_c"] == "68", "20 °C"
        pages.send("/shop/air/", {"shop_c": "59"})
        assert settings()["shop_c"] == "15.00" and pages.get("/shop/air/").form().typed["shop_c"] == "59"

    @pytest.mark.parametrize("unit, kept", [("in", "33.81"), ("mm", "32.00")])
    def test_a_price_by_sheet_is_typed_in_the_shops_measure_and_comes_back_to_the_cent(
        self, pages: Pages, unit: str, kept: str
    ):
        """A US liquid quart is 0.946352946 L (NIST Handbook 44, 2024, appendix C)."""
        change_person(pages.person, unit=unit)
        pages.send("/shop/finish/", {"finish_prices/hard-wax-oil": "32"})
        assert settings()["finish_prices"] == {"hard-wax-oil": kept}
        assert pages.get("/shop/finish/").form().typed["finish_prices/hard-wax-oil"] == "32.00"
        pages.send("/shop/finish/", {"finish_prices/hard-wax-oil": ""})
        assert settings()["finish_prices"] == {}

    def test_a_wrong_price_by_sheet_stands_beside_its_field(self, pages: Pages):
        page = pages.send("/shop/finish/", {"glue_prices/pva": "9 fifty"}, status=422)
        assert "amount" in page.errors["glue_prices/pva"] and head() == 0

    def test_machines_are_typed_in_the_persons_unit_and_may_be_left_out(self, pages: Pages):
        pages.send("/shop/hands/", {"planer_width": "20", "people_at_hand": "2"})
        assert settings()["planer_width_len"] == inches(20) and settings()["people_at_hand"] == 2
        assert pages.get("/shop/hands/").form().typed["planer_width"] == '20"'
        pages.send("/shop/hands/", {"planer_width": ""})
        assert settings()["planer_width_len"] is None
        page = pages.send("/shop/hands/", {"jointer_width": "200"}, status=422)
        assert "at most" in page.errors["jointer_width"] or "80" in page.errors["jointer_width"]

    def test_a_form_grown_old_is_refused(self, pages: Pages):
        form = pages.get("/shop/money/").form()
        pages.send("/shop/money/", {"tax_pct": "7"})
        page = pages.send_form("/shop/money/", form, {"tax_pct": "8"}, status=409)
        assert "changed since" in page.words and settings()["tax_pct"] == "7"


class TestSheets:
    def test_classes_and_own_sheets_stand_apart(self, pages: Pages, work: Work, piece: Piece):
        words = pages.get("/sheets/").words
        assert "general figures" in words and "Quick test glue your own" in words

    def test_a_class_takes_the_shops_own_numbers(self, pages: Pages):
        pages.send("/sheets/glue/pva/", {"unclamp_s": "6 h", "origin": "sheet of March 2025"})
        sheet = Sheet.objects.get()
        assert (sheet.key, sheet.version, sheet.data["unclamp_s"]) == ("pva", 1, 6 * 3600)
        assert sheet.data["source"]["unclamp_s"] == "sheet of March 2025"
        assert "March 2025" not in sheet.data["source"]["open_s"], "what was not touched keeps its source"

    def test_saving_again_makes_the_next_version(self, pages: Pages):
        pages.send("/sheets/glue/pva/", {"unclamp_s": "6 h"})
        pages.send("/sheets/glue/pva/", {"unclamp_s": "5 h"})
        assert list(Sheet.objects.order_by("version").values_list("version", flat=True)) == [1, 2]

    def test_temperatures_are_typed_in_the_persons_unit(self, pages: Pages):
        typed = pages.get("/sheets/glue/pva/").form().typed
        pages.send("/sheets/glue/pva/", {"max_temp_c": "95"})
        data = Sheet.objects.get().data
        assert data["max_temp_c"] == "35.00", "95 °F is 35 °C"
        assert typed["min_temp_c"] == "55" and data["min_temp_c"] == "12.78", "untouched: not rounded again"

    def test_another_product_from_these_numbers(self, pages: Pages):
        pages.send("/sheets/finish/shellac/new/", {"key": "amber-shellac", "name": "Amber shellac"})
        sheet = Sheet.objects.get()
        assert (sheet.key, sheet.kind, sheet.data["name"]) == ("amber-shellac", "finish", "Amber shellac")

    @pytest.mark.parametrize(
        "wrong, field, says",
        [
            ({"open_s": "10"}, "open_s", "needs its unit"),
            ({"unclamp_s": ""}, "unclamp_s", "missing"),
            ({"spread_g_m2": "1"}, "spread_g_m2", "out of range"),
            ({"min_temp_c": "400"}, "min_temp_c", "out of range"),
            ({"scrape_to_s": ""}, "scrape_to_s", "both or neither"),
        ],
    )
    def test_what_is_wrong_stands_beside_its_field(
        self, pages: Pages, wrong: dict[str, str], field: str, says: str
    ):
        page = pages.send("/sheets/glue/pva/", {"origin": "new sheet", **wrong}, status=422)
        assert says in page.errors[field] and page.form().typed["origin"] == "new sheet" and head() == 0

    @pytest.mark.parametrize("key", ["", "Two Words", "pva", "shellac"])
    def test_a_new_product_needs_a_name_of_its_own(self, pages: Pages, key: str):
        page = pages.send("/sheets/finish/shellac/new/", {"key": key, "name": "Amber"}, status=422)
        assert page.errors["key"] and head() == 0


WOOD = {
    "key": "ipe", "name": "Ipe", "gravity": "0.92", "gravity_basis": "12%", "tangential_pct": "8",
    "radial_pct": "6.6", "elasticity_mpa": "22 GPa", "oily": "yes", "origin": "FPL tech sheet",
}  # fmt: skip


class TestWoods:
    def test_a_wood_is_entered_once_and_then_chosen_by_its_name(self, pages: Pages):
        pages.send("/sheets/wood/", WOOD)
        sheet = Sheet.objects.get()
        assert (sheet.kind, sheet.data["elasticity_mpa"], sheet.data["oily"]) == ("wood", "22000", True)
        assert sheet.data["source"]["gravity"] == "FPL tech sheet"
        assert "Woods outside the table" in pages.get("/sheets/").words
        page = pages.get("/calculator/weight/")
        assert "Ipe" in page.text
        told = pages.send("/calculator/weight/", {"species": "ipe"}, status=200).words
        assert "Ipe: gravity 0.92" in told and "FPL tech sheet" in told

    def test_its_figures_get_a_next_version_under_the_same_name(self, pages: Pages):
        pages.send("/sheets/wood/", WOOD)
        typed = pages.get("/sheets/wood/ipe/").form().typed
        assert typed["elasticity_mpa"] == "22000 MPa" and "points" not in typed
        pages.send("/sheets/wood/ipe/", {"gravity": "0.95", "origin": "weighed here"})
        data = Sheet.objects.get(version=2).data
        assert (
            data["source"]["gravity"] == "weighed here" and data["source"]["radial_pct"] == "FPL tech sheet"
        )
        page = pages.send("/sheets/wood/ipe/", {"name": "Lapacho", "origin": "x"}, status=422)
        assert page.errors["name"]

    @pytest.mark.parametrize(
        "wrong, field, says",
        [
            ({"origin": ""}, "origin", "source"),
            ({"gravity": "9"}, "gravity", "0.05 to 1.5"),
            ({"elasticity_mpa": "22"}, "elasticity_mpa", "unit"),
            ({"name": "walnut"}, "name", "tables"),
            ({"key": ""}, "key", "sheet key"),
        ],
    )
    def test_what_is_wrong_stands_beside_its_field(
        self, pages: Pages, wrong: dict[str, str], field: str, says: str
    ):
        page = pages.send("/sheets/wood/", {**WOOD, **wrong}, status=422)
        assert says in page.errors[field] and head() == 0


class TestLog:
    def test_the_newest_events_in_words(self, pages: Pages, work: Work, piece: Piece):
        work.start(piece, "survey")
        words = pages.get("/log/").words
        assert "Site survey and drawing approved: started" in words and "Client added: Orla Fenwick" in words

    def test_older_events_page_by_page(self, pages: Pages):
        for n in range(60):
            pages.post("/clients/new/", {"name": f"Client {n}"})
        page = pages.get("/log/")
        assert "Client 59" in page.words and "Client 9 " not in page.words
        older = page.text.split('href="?before=')[1].split('"')[0]
        assert "Client 9 " in pages.get(f"/log/?before={older}").words
        pages.get("/log/?before=never")

    def test_the_chain_holds(self, pages: Pages, piece: Piece):
        page = pages.send("/log/", to="/verify/", status=200)
        texts = PrivateText.objects.count()
        told = f"Nothing was changed or taken out. Entries: {head()}. Texts: {texts}. Checked"
        assert told in page.words

    def test_a_broken_chain_is_named(self, pages: Pages, piece: Piece):
        with no_triggers(connection), connection.cursor() as cursor:
            cursor.execute("UPDATE jobs_event SET actor = 'somebody' WHERE seq = 2")
        page = pages.send_form(
            "/log/", pages.get("/log/").form("/verify/"), status=200, **{"HX-Request": "true"}
        )
        assert "Something was changed or taken out. Event 2" in page.words and "<html" not in page.text

    def test_a_long_story_is_told_with_its_reasons(self, db: None):
        person = a_long_story().by
        pages, last = Pages(person), head()
        told = " ".join(pages.get(f"/log/?before={n}").words for n in range(last + 1, 0, -EVENTS_PER_PAGE))
        for name in (
            "client",
            "title",
            "label",
            "override",
            "early",
            "remark",
            "reopen",
            "withdrawal",
            "cancelled",
        ):
            assert PERSONAL[name] in told
        assert told.count(f"commission:{Commission.objects.first().number}") > 50

    @pytest.mark.long
    def test_every_page_of_a_long_story_opens(self, db: None):
        for person in (a_long_story().by, Person.objects.get(username="maker")):
            pages = Pages(person)
            for commission in Commission.objects.all():
                pages.get(f"/commissions/{commission.number}/?events")
            for stage in Stage.objects.select_related("piece"):
                hidden = stage.spec["owner_only"] and not person.is_owner
                pages.get(f"/pieces/{stage.piece.number}/stages/{stage.key}/", 403 if hidden else 200)
            for wait in Wait.objects.all():
                pages.get(f"/waits/{wait.id}/end/")


def test_mail_that_did_not_arrive_is_listed(pages: Pages, work: Work, slow_piece: Piece):
    assert "Every reminder that was due has been sent" in pages.get("/lost-mail/").words
    in_clamps(work, slow_piece, minutes=40)
    now = timezone.now()
    Delivery.objects.create(
        wait_key=Wait.objects.first().id,
        kind="ready",
        person=work.by.id,
        channel="mail",
        attempt=1,
        due_at=now,
        claimed_at=now,
        message_id="<a@b.example>",
        step=Delivery.Step.GIVEN_UP,
        tries=5,
        error="550 no such box",
    )
    words = pages.get("/lost-mail/").words
    assert "550 no such box" in words and "given up after 5 tries" in words and "Ada Lindenau" in words


def test_a_sheets_times_at_several_temperatures_are_typed_and_stay(pages):
    at = "/sheets/glue/pva/"
    pages.send(at, {"points": "unclamp, 60 F, 7 h\nunclamp, 70 F, 4 h"})
    assert [(str(p.temp_c), p.time_s) for p in product("glue", "pva").points] == [
        ("15.56", 25200), ("21.11", 14400),
    ]  # fmt: skip
    assert pages.get(at).form().typed["points"] == "unclamp, 60 °F, 7 h\nunclamp, 70 °F, 4 h"
    pages.send(at, {"name": "Yellow glue"})
    assert len(product("glue", "pva").points) == 2, "another field was changed, the points stay"
    for wrong in ("unclamp, 60 F", "unclamp, 60 F, 7 h", "sand, 50 F, 7 h\nsand, 70 F, 4 h"):
        assert pages.send(at, {"points": wrong}, status=422).errors["points"]


class TestLook:
    def test_a_logo_is_sent_seen_on_a_page_and_removed(self, pages: Pages):
        pages.send("/shop/shop/", {"name": "Lindenau Table Works", "contact": "555 0199"})
        assert "/shop/look/logo/" in pages.get("/shop/look/").text
        wrong = pages.send("/shop/look/logo/", {"logo": SimpleUploadedFile("a.svg", b"<svg>")}, status=422)
        assert "cannot be read" in wrong.errors["logo"]
        pages.send("/shop/look/logo/", {"logo": SimpleUploadedFile("a.svg", DRAWN)})
        assert 'alt="Lindenau Table Works"' in pages.get("/shop/look/").text
        shown = pages.http.get("/shop/look/logo/file/")
        assert shown["Content-Type"] == "image/svg+xml" and "sandbox" in shown["Content-Security-Policy"]
        pages.send("/shop/look/logo/", to="/remove/")
        assert "logo/file" not in pages.get("/shop/look/").text

    def test_a_color_is_set_and_a_pale_one_is_refused_with_its_contrast(self, pages: Pages):
        pages.send("/shop/look/", {"paper_color": "#1C3A5A"})
        assert "--paper: #1c3a5a" in pages.get("/shop/look/").text
        page = pages.send("/shop/look/", {"paper_color": "#ffcc00"}, status=422)
        assert "1.51 to 1" in page.errors["paper_color"] and "4.5 to 1" in page.errors["paper_color"]

    @needs("weasyprint")
    def test_a_page_shows_the_look(self, pages: Pages):
        pages.send("/shop/shop/", {"name": "Lindenau Table Works"})
        said = words(pages.http.get("/shop/look/sample/").content)
        assert said.startswith("Lindenau Table Works") and "asks for nothing" in said
