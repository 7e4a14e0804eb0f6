"""The list of commissions, a new one, one with its pieces, and its changes."""

import re
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from jobs.domain.commissions.commissions import move_commission
from jobs.domain.commissions.piece_commands import change_piece
from jobs.domain.settings import settings
from jobs.domain.workshop.commands import set_shop
from jobs.log.private_texts import read
from jobs.models import Client, Commission, Event, Piece
from tests.shop_fixtures import INCHES, QUICK_FINISH, TOP, Work, a_client, a_commission
from tests.web.pages import Pages, head

pytestmark = pytest.mark.takes(12)

NEW = {
    "name": "Orla Fenwick", "phone": "555 0142", "title": "Table for the loft", "promise_on": "2031-05-04",
    "notes": "ring the lower bell", "label": "Table top", "length": "6' 2\"", "width": "812 mm",
    "thickness": "1 3/4", "species": "Walnut",
}  # fmt: skip


def test_a_new_commission_with_client_and_first_piece(pages: Pages):
    page = pages.send("/commissions/new/", NEW)
    commission = Commission.objects.get()
    assert page.answer.url == f"/commissions/{commission.number}/"
    piece = commission.pieces.get()
    # 6' 2" is 74 in, 1 in = 203200 units of 1/8 µm; 812 mm = 812 x 8000
    assert (piece.inputs["length_len"], piece.inputs["width_len"]) == (74 * 203200, 812 * 8000)
    assert piece.inputs["species"] == "black walnut"
    assert commission.promise_on == date(2031, 5, 4) and read(commission.client.name_ref) == "Orla Fenwick"
    shown = pages.get(page.answer.url).words
    assert "Table for the loft" in shown and "ring the lower bell" in shown and '74"' in shown


def test_a_new_commission_of_a_known_client_without_a_piece(pages: Pages, work: Work):
    client = a_client(work.call())
    page = pages.send("/commissions/new/", {"client": str(client.id), "title": "Shelf"})
    assert Client.objects.count() == 1
    assert "Add a piece" in pages.get(page.answer.url).words


@pytest.mark.parametrize(
    "wrong, field, says",
    [
        ({"length": "-6"}, "length", "out of range"),
        ({"length": "6,2"}, "length", "decimal with a point"),
        ({"width": "99999"}, "width", "out of range"),
        ({"species": "unobtainium"}, "species", "unobtainium"),
        ({"quantity": "0"}, "quantity", "1 to 100"),
        ({"label": "", "title": ""}, "label", "needs a title"),
        ({"thickness": ""}, "thickness", "needs a thickness"),
        ({"name": ""}, "name", "needs a name"),
        ({"email": "orla"}, "email", "Not an e-mail address"),
        ({"promise_on": "soon"}, "promise_on", "valid date"),
        ({"waste_pct": "200"}, "waste_pct", "0 to 100"),
        ({"label": "half a cha\ufffd"}, "label", "broken characters"),
        ({"label": "NUL\x00"}, "label", "Null characters"),
        ({"route": "free-list", "stages": ""}, "stages", "needs"),
    ],
)
def test_what_is_wrong_stands_beside_its_field_and_nothing_is_lost(
    pages: Pages, wrong: dict[str, str], field: str, says: str
):
    before = head()
    page = pages.send("/commissions/new/", {**NEW, **wrong}, status=422)
    assert says in page.errors[field]
    typed = page.form().typed
    assert {k: typed[k] for k in NEW if k not in wrong} == {k: v for k, v in NEW.items() if k not in wrong}
    assert head() == before and not Client.objects.exists(), "the client alone must not stay either"


def test_a_known_client_and_a_new_name_at_once_are_refused(pages: Pages, work: Work):
    client = a_client(work.call())
    page = pages.send("/commissions/new/", {**NEW, "client": str(client.id)}, status=422)
    assert "not both" in page.errors["client"]


def test_the_form_sent_twice_opens_one_commission(pages: Pages):
    form = pages.get("/commissions/new/").form()
    first, second = (pages.send_form("/commissions/new/", form, NEW) for _ in range(2))
    assert first.answer.url == second.answer.url
    assert (Commission.objects.count(), Client.objects.count(), Piece.objects.count()) == (1, 1, 1)


def test_the_list_shows_what_comes_next(pages: Pages, piece: Piece):
    page = pages.get("/commissions/")
    assert "Desk by the window" in page.words and "next: Site survey and drawing approved" in page.words


def test_the_list_by_step(pages: Pages, work: Work, piece: Piece):
    number = piece.commission.number
    move_commission(work.call(), commission=number, to="cancelled", reason="sold")
    assert number not in pages.get("/commissions/").words
    assert number in pages.get("/commissions/?show=cancelled").words
    assert number in pages.get("/commissions/?show=all").words
    pages.get("/commissions/?show=nonsense&page=minus")


def test_a_promise_in_the_past_is_marked(pages: Pages, work: Work):
    yesterday = timezone.localdate() - timedelta(days=1)
    a_commission(work.call(), a_client(work.call()), promise_on=yesterday)
    assert "errorlist" in pages.get("/commissions/").text


class TestOneCommission:
    def test_the_next_action_is_one_big_button(self, pages: Pages, work: Work, piece: Piece):
        page = pages.get(f"/commissions/{piece.commission.number}/")
        assert page.text.count('class="next"') == 1
        assert f'class="next" href="/pieces/{piece.number}/stages/survey/"' in page.text
        work.start(piece, "survey")
        assert (
            "Finish Site survey and drawing approved"
            in pages.get(f"/commissions/{piece.commission.number}/").words
        )

    def test_the_checklist_comes_before_the_delivery(self, pages: Pages, work: Work, piece: Piece):
        work.do_until(piece, "wrap")
        page = pages.get(f"/commissions/{piece.commission.number}/")
        assert f'class="next" href="/commissions/{piece.commission.number}/checklist/"' in page.text

    def test_calculations_show_figures_sources_and_what_is_missing(self, pages: Pages, piece: Piece):
        words = pages.get(f"/commissions/{piece.commission.number}/").words
        assert '5 strips of 6"' in words, "30 in wide, at most 6 in a strip"
        assert "Wood Handbook" in words and "Rip list" in words

    def test_what_is_to_be_heeded_stands_before_the_figures(self, pages: Pages, piece: Piece):
        """A walnut top of 60 x 30 x 1 1/2 in is more than three may lift on edge (HSE L23, NIOSH)."""
        words = pages.get(f"/commissions/{piece.commission.number}/").words
        lifting = words[words.index("Lifting cart or hoist") :]
        heed, caution, figure, source = (
            lifting.index(each)
            for each in (
                "use a cart or hoist",
                "not proof of safety",
                "One person may lift",
                "Worked out from",
            )
        )
        assert heed < caution < figure < source

    def test_a_top_that_comes_out_thinner_than_asked_says_so_outside_of_folds(self, pages: Pages, work: Work):
        """NHLA: 8/4 surfaces to 1 3/4 in, and flattening takes 1/16 in (common practice, no source)."""
        thick = work.accepted(thickness="1 3/4")
        assert thick.computed["lumber"]["result"]["quarters"] == "10/4"
        assert "thinner than asked" not in pages.get(f"/commissions/{thick.commission.number}/").text
        pages.send("/shop/", {"stocked_thicknesses": "8/4, 4/4"})
        assert settings()["stocked_thicknesses"] == ["4/4", "8/4"]
        piece = work.accepted(thickness="1 3/4")
        page = pages.get(f"/commissions/{piece.commission.number}/")
        before, _ = page.text.split("thinner than asked", 1)
        assert before.count("<details") == before.count("</details>"), "not inside a fold"
        assert "To solve first" in before
        words = page.words.replace("⁄", "/")
        assert "ordered, which the yard does not stock" in words and "comes out only 1 11/16" in words

    def test_it_is_drawn_once(self, pages: Pages, piece: Piece):
        page = pages.get(f"/commissions/{piece.commission.number}/")
        assert page.text.count('<svg xmlns="http://www.w3.org/2000/svg" class="drawn"') == 1
        assert "5 strips, show face up" in page.words and "biscuit 20" in page.words
        assert 'class="drawn"' in pages.get(f"/pieces/{piece.number}/stages/joinery/").text
        assert 'class="drawn"' not in pages.get(f"/pieces/{piece.number}/stages/sand/").text

    def test_a_calculation_that_cannot_be_made_says_why(self, pages: Pages, piece: Piece):
        pages.send(f"/pieces/{piece.number}/change/", {"thickness": "9"})
        words = pages.get(f"/commissions/{piece.commission.number}/").words
        assert "cannot be computed" in words and "at most" in words

    def test_what_the_last_change_changed(self, pages: Pages, work: Work, piece: Piece):
        change_piece(work.call(), piece=piece.number, units=INCHES, asked={"width": "36"})
        words = pages.get(f"/commissions/{piece.commission.number}/").words
        assert "What the last change changed" in words and "Strips: Strips 5 6" in words

    def test_lengths_follow_the_persons_unit(self, pages: Pages, piece: Piece, owner: object):
        owner.unit = "mm"
        owner.save()
        assert '1524 mm 60"' in pages.get(f"/commissions/{piece.commission.number}/").words

    def test_events_in_plain_words(self, pages: Pages, work: Work, piece: Piece):
        work.do(piece, "survey")
        words = pages.get(f"/commissions/{piece.commission.number}/?events").words
        assert "Site survey and drawing approved: finished after 10 min" in words
        assert "Commission 2026-001 opened: Desk by the window" in words.replace(
            piece.commission.number, "2026-001"
        )
        assert "Ada Lindenau" in words

    def test_the_page_is_asked_anew_only_when_something_changed(self, pages: Pages, work: Work, piece: Piece):
        text = pages.get(f"/commissions/{piece.commission.number}/").text
        address = text.split('hx-get="')[1].split('"')[0]
        assert "HX-Refresh" not in pages.get(address, 204).answer
        work.start(piece, "survey")
        assert pages.get(address, 204).answer["HX-Refresh"] == "true"


class TestChanging:
    @pytest.fixture
    def url(self, piece: Piece) -> str:
        return f"/commissions/{piece.commission.number}/change/"

    def test_only_what_differs_is_written(self, pages: Pages, url: str, piece: Piece):
        pages.send(url, {"promise_on": "2031-05-04"})
        event = Event.objects.order_by("-seq").first()
        assert set(event.data) == {"number", "promise_on"}
        piece.commission.refresh_from_db()
        assert piece.commission.promise_on == date(2031, 5, 4)

    def test_an_empty_title_is_refused(self, pages: Pages, url: str):
        page = pages.send(url, {"title": " ", "notes": "long story"}, status=422)
        assert "needs a title" in page.errors["title"] and page.form().typed["notes"] == "long story"

    def test_a_stale_form_is_refused_with_what_was_typed(
        self, pages: Pages, work: Work, url: str, piece: Piece
    ):
        form = pages.get(url).form()
        work.start(piece, "survey")
        page = pages.send_form(url, form, {"title": "Longer desk"}, status=409)
        assert page.form().typed["title"] == "Longer desk"
        pages.send_form(url, page.form())
        piece.commission.refresh_from_db()
        assert read(piece.commission.title_ref) == "Longer desk"


AGREED = {"price": "2400", "promise_on": "2999-01-01"}


class TestMoving:
    @pytest.fixture
    def number(self, work: Work) -> str:
        return a_commission(work.call(), a_client(work.call())).number

    def test_accepting(self, pages: Pages, number: str):
        assert "Mark accepted" not in pages.get(f"/commissions/{number}/").words
        pages.send(f"/commissions/{number}/accept/", AGREED)
        assert Commission.objects.get().step == "accepted"

    def test_cancelling_needs_a_reason(self, pages: Pages, number: str):
        page = pages.send(f"/commissions/{number}/move/cancelled/", status=422)
        assert "Say why it is cancelled" in page.errors["reason"]
        pages.send(f"/commissions/{number}/move/cancelled/", {"reason": "house sold"})
        assert "house sold" in pages.get(f"/commissions/{number}/").words

    def test_a_move_that_is_not_open_is_refused(self, pages: Pages, number: str):
        pages.send(f"/commissions/{number}/accept/", AGREED)
        page = pages.send(f"/commissions/{number}/move/quoted/", status=409)
        assert "cannot become quoted" in page.words

    def test_no_other_move_is_made_by_hand(self, pages: Pages, number: str):
        pages.get(f"/commissions/{number}/move/closed/", 404)


class TestPieces:
    def test_adding_a_piece(self, pages: Pages, piece: Piece):
        number = piece.commission.number
        pages.send(f"/commissions/{number}/pieces/new/", {**TOP, "label": "Side table"})
        assert Piece.objects.filter(commission__number=number).count() == 2
        assert "Side table" in pages.get(f"/commissions/{number}/").words

    def test_a_piece_with_its_own_stages(self, pages: Pages, piece: Piece):
        typed = {"label": "Four legs", "route": "free-list", "stages": "Legs turned\nLegs sanded"}
        pages.send(f"/commissions/{piece.commission.number}/pieces/new/", typed)
        assert "Legs turned" in pages.get(f"/commissions/{piece.commission.number}/").words

    def test_changing_sends_only_what_differs(self, pages: Pages, piece: Piece):
        """162.7 mm shows rounded in inches; saving the form unchanged must not move it at all."""
        pages.send(f"/pieces/{piece.number}/change/", {"length": "1623.4 mm"})
        piece.refresh_from_db()
        length = piece.inputs["length_len"]
        assert "≈" in pages.get(f"/pieces/{piece.number}/change/").form().typed["length"]
        pages.send(f"/pieces/{piece.number}/change/", {"width": "31"})
        piece.refresh_from_db()
        assert piece.inputs["length_len"] == length == 1623.4 * 8000
        assert piece.inputs["width_len"] == 31 * 203200

    def test_the_underside_follows_the_face_unless_told(self, pages: Pages, piece: Piece):
        pages.send(f"/pieces/{piece.number}/change/", {"finish_face": "shellac"})
        piece.refresh_from_db()
        assert (piece.inputs["finish_face"], piece.inputs["finish_under"]) == ("shellac", "shellac")
        pages.send(f"/pieces/{piece.number}/change/", {"finish_under": "hard-wax-oil"})
        piece.refresh_from_db()
        assert (piece.inputs["finish_face"], piece.inputs["finish_under"]) == ("shellac", "hard-wax-oil")

    def test_a_piece_takes_the_finish_that_is_usual_for_its_route(self, pages: Pages, piece: Piece):
        at = f"/commissions/{piece.commission.number}/pieces/new/"
        pages.send(at, {**TOP, "route": "edge-glued-oil"})
        assert Piece.objects.order_by("id").last().inputs["finish_face"] == "hard-wax-oil"
        page = pages.send(f"/pieces/{piece.number}/change/", {"route": "edge-glued-oil"}, status=422)
        assert "leaves no film" in page.errors["finish_face"]
        pages.send_form(f"/pieces/{piece.number}/change/", page.form(), {"finish_face": ""})
        piece.refresh_from_db()
        assert (piece.inputs["finish_face"], piece.inputs["finish_under"]) == ("hard-wax-oil",) * 2

    def test_an_emptied_field_goes_back_to_its_default_or_is_refused(self, pages: Pages, piece: Piece):
        at = f"/pieces/{piece.number}/change/"
        pages.send(at, {"waste_pct": "40", "trim_length": "3", "build_coats": "5"})
        pages.send(at, {"waste_pct": "", "trim_length": "", "build_coats": ""})
        piece.refresh_from_db()
        assert piece.inputs["waste_pct"] is None and piece.inputs["trim_length_len"] == 2 * 203200
        assert piece.inputs["build_coats"] == QUICK_FINISH["build_coats"]
        for name in ("length", "species", "label", "route"):
            assert "needs a" in pages.send(at, {name: ""}, status=422).errors[name]

    def test_a_change_that_would_drop_begun_stages_is_refused(self, pages: Pages, work: Work, piece: Piece):
        work.do(piece, "survey", "stock")
        typed = {"route": "free-list", "stages": "Planed"}
        page = pages.send(f"/pieces/{piece.number}/change/", typed, status=409)
        assert "begun stages" in page.words and page.form().typed["stages"] == "Planed"

    def test_removing(self, pages: Pages, work: Work, piece: Piece):
        work.start(piece, "survey")
        page = pages.send(f"/pieces/{piece.number}/remove/", status=409)
        assert "have been started" in page.words
        pages.send(f"/pieces/{piece.number}/stages/survey/", to="/put-back/")
        pages.send(f"/pieces/{piece.number}/remove/")
        assert not Piece.objects.exists()

    @pytest.mark.parametrize(
        "text, says",
        [
            ("6 13/32", '= 6 13/32" (≈ 162.7 mm)'),
            ("1.2 m", '= ≈ 47 1/4" (1200 mm)'),
            ("a yard", "cannot be read"),
            ("", ""),
        ],
    )
    def test_a_length_is_echoed_as_it_is_read(self, pages: Pages, text: str, says: str):
        assert says in pages.get(f"/length/?length={text}").words.replace(' "', '"')


def test_figures_stand_there_while_typing_and_the_price_for_the_owner_only(
    pages: Pages, maker_pages: Pages, work: Work
):
    def asked(by: Pages, **typed: str) -> str:
        return by.post("/commissions/new/figures/", {**NEW, **typed}, 200).words

    def price(per_board_foot: str) -> Decimal:
        set_shop(work.call(), settings={"price_per_board_foot": per_board_foot})
        return Decimal(re.search(r"([\d,.]+) USD for materials", asked(pages))[1].replace(",", ""))

    once = price("8")
    before = head()
    assert "board ft in the top" in asked(pages) and "USD" not in asked(maker_pages)
    assert "width is typed" in asked(pages, width="") and "unobtainium" in asked(pages, species="unobtainium")
    assert head() == before
    assert once > 0 and price("16") == 2 * once
    set_shop(work.call(), settings={"stocked_thicknesses": ["4/4", "8/4"]})
    assert "thinner than asked" in asked(pages, thickness="1 3/4")
    assert "thinner than asked" not in asked(pages, thickness="1 5/8")


def test_two_clients_of_one_name_are_told_apart(pages: Pages, work: Work):
    for _ in range(2):
        a_client(work.call(), name="Orla Fenwick")
    page = pages.send("/commissions/new/", {**NEW, "name": "orla fenwick", "phone": ""}, status=422)
    assert "everal clients have this name" in page.errors["client"]
    pages.send("/commissions/new/", {**NEW, "name": "Orla Fenwick", "client": "new"})
    assert Client.objects.count() == 3
