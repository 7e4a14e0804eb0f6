"""Commissions in a list and one by one, changed and moved on."""

import re
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from jobs.domain.billing.orders import accept_order
from jobs.domain.commissions.commissions import change_commission, move_commission
from jobs.domain.commissions.piece_commands import change_piece
from jobs.domain.settings import settings
from jobs.log.private_texts import read
from jobs.models import Commission, Event, Piece
from tests.shop_fixtures import INCHES, Work, a_client, a_commission, a_piece
from tests.web.pages import Pages

pytestmark = pytest.mark.takes(6)


class TestTheList:
    def test_it_shows_what_comes_next_and_the_wood_of_the_first_piece(self, pages: Pages, piece: Piece):
        page = pages.get("/commissions/")
        assert "Desk by the window Orla Fenwick Measure up and get" in page.words
        assert f"/pieces/{piece.number}/wood.svg?small" in page.text

    def test_it_is_grouped_by_step_and_the_next_promised_comes_first(self, pages: Pages, work: Work):
        client = a_client(work.call())
        for title, month in (("Later", 2), ("Sooner", 1)):
            number = a_commission(work.call(), client, title).number
            terms = {"price": Decimal(900), "promise_on": date(2999, month, 1)}
            accept_order(work.call(), commission=number, **terms)
        a_commission(work.call(), client, "Asked for", wanted_on=date(2999, 3, 1))
        page = pages.get("/commissions/")
        assert re.findall(r"<h2>(.*?)</h2>", page.text) == ["Asked", "To do"]
        assert page.words.index("Sooner") < page.words.index("Later")
        assert "wanted by Fri 1 Mar 2999" in page.words and "promised Tue 1 Jan 2999" in page.words
        assert "Asked for Orla Fenwick Add the piece" in page.words

    def test_a_late_one_says_so(self, pages: Pages, work: Work, piece: Piece):
        soon = timezone.localdate() + timedelta(days=1)
        change_commission(work.call(), commission=piece.commission.number, promise_on=soon)
        assert "not before" in pages.get("/commissions/").words
        Commission.objects.update(promise_on=soon - timedelta(days=3))
        assert "2 days ago" in pages.get("/commissions/").words

    def test_closed_ones_are_behind_a_link(self, pages: Pages, work: Work, piece: Piece):
        number = piece.commission.number
        move_commission(work.call(), commission=number, to="cancelled", reason="sold")
        page = pages.get("/commissions/")
        assert "Desk by the window" not in page.words and "1 closed commission" in page.words
        page = pages.get("/commissions/?show=over")
        assert "Desk by the window" in page.words and "Canceled" in page.words
        pages.get("/commissions/?show=nonsense&page=minus")

    def test_an_empty_one_says_what_to_do_first(self, pages: Pages):
        page = pages.get("/commissions/")
        assert "Write down an inquiry" in page.words and "/commissions/new/" in page.text


def test_a_promise_in_the_past_is_marked(pages: Pages, work: Work):
    yesterday = timezone.localdate() - timedelta(days=1)
    a_commission(work.call(), a_client(work.call()), promise_on=yesterday)
    assert "promised " in (words := pages.get("/commissions/").words) and "yesterday" in words


class TestOneCommission:
    def test_the_next_action_is_one_big_button(self, pages: Pages, work: Work, piece: Piece):
        page = pages.get(f"/commissions/{piece.commission.number}/")
        assert page.text.count('class="go next"') == 1
        assert f'class="go next" href="/pieces/{piece.number}/stages/survey/"' in page.text
        work.start(piece, "survey")
        assert (
            "Finish Measure up and get the drawing approved"
            in pages.get(f"/commissions/{piece.commission.number}/").words
        )

    def test_the_checklist_comes_before_the_delivery(self, pages: Pages, work: Work, piece: Piece):
        work.do_until(piece, "wrap")
        number = piece.commission.number
        page = pages.get(f"/commissions/{number}/")
        assert f'class="go next" href="/commissions/{number}/delivery/"' in page.text
        pages.send(f"/commissions/{number}/delivery/", {"day": timezone.localdate().isoformat()})
        page = pages.get(f"/commissions/{number}/")
        assert f'class="go next" href="/commissions/{number}/checklist/"' in page.text

    def test_calculations_show_figures_sources_and_what_is_missing(self, pages: Pages, piece: Piece):
        words = pages.get(f"/commissions/{piece.commission.number}/piece/").words
        assert '5 strips of 6"' in words, "30 in wide, at most 6 in a strip"
        words = pages.get(f"/pieces/{piece.number}/figures/").words
        assert "Wood Handbook" in words and "Rip list" in words

    def test_what_is_to_be_heeded_stands_before_the_figures(self, pages: Pages, piece: Piece):
        """A walnut top of 60 x 30 x 1 1/2 in is more than three may lift on edge (HSE L23, NIOSH)."""
        page = pages.get(f"/commissions/{piece.commission.number}/")
        assert "Lifting: it weighs" in page.words
        lifting = pages.get(f"/pieces/{piece.number}/figures/?of=lifting").words
        assert "Rip list" not in lifting, "one figure has a page to itself"
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
        pages.send("/shop/wood/", {"stocked_thicknesses": "8/4, 4/4"})
        assert settings()["stocked_thicknesses"] == ["4/4", "8/4"]
        piece = work.accepted(thickness="1 3/4")
        page = pages.get(f"/commissions/{piece.commission.number}/")
        before, _ = page.text.split("thinner than asked", 1)
        assert before.count("<details") == before.count("</details>"), "not inside a fold"
        assert "To solve first" in before
        assert "ordered, which the yard does not stock" in page.words
        words = pages.get(f"/commissions/{piece.commission.number}/piece/").words.replace("⁄", "/")
        assert "comes out only 1 11/16" in words

    def test_it_is_drawn_once(self, pages: Pages, piece: Piece):
        page = pages.get(f"/commissions/{piece.commission.number}/piece/")
        assert page.text.count('<svg xmlns="http://www.w3.org/2000/svg" class="drawn"') == 1
        assert "Plan, show face up" in page.words and "biscuit 20" in page.words
        assert 'class="drawn"' in pages.get(f"/pieces/{piece.number}/stages/joinery/").text
        assert 'class="drawn"' not in pages.get(f"/pieces/{piece.number}/stages/sand/").text

    def test_a_calculation_that_cannot_be_made_says_why(self, pages: Pages, piece: Piece):
        pages.send(f"/pieces/{piece.number}/change/", {"thickness": "9"})
        words = pages.get(f"/commissions/{piece.commission.number}/piece/").words
        assert "cannot be computed" in words
        assert "at most" in pages.get(f"/pieces/{piece.number}/figures/").words

    def test_what_the_last_change_changed(self, pages: Pages, work: Work, piece: Piece):
        change_piece(work.call(), piece=piece.number, units=INCHES, asked={"width": "36"})
        words = pages.get(f"/commissions/{piece.commission.number}/piece/").words
        assert "What the last change changed" in words and "Strips: Strips 5 6" in words

    def test_lengths_follow_the_persons_unit(self, pages: Pages, piece: Piece, owner: object):
        owner.unit = "mm"
        owner.save()
        words = pages.get(f"/commissions/{piece.commission.number}/piece/").words
        assert "1524 mm × 762 mm" in words and '60" × 30"' in words, "both units, the person's first"

    def test_events_in_plain_words(self, pages: Pages, work: Work, piece: Piece):
        work.do(piece, "survey")
        words = pages.get(f"/commissions/{piece.commission.number}/history/?all").words
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

    def test_every_section_says_where_the_others_are_and_money_is_the_owners(
        self, pages: Pages, maker_pages: Pages, piece: Piece
    ):
        at = f"/commissions/{piece.commission.number}/"
        for section in ("", "piece/", "money/", "client/", "history/"):
            text = pages.get(at + section).text
            links = [f'href="{at}{other}"' for other in ("", "piece/", "money/", "client/", "history/")]
            assert [link for link in links if link not in text] == []
            assert text.count('aria-current="page"') == 1
        assert f'href="{at}money/"' not in maker_pages.get(at).text
        maker_pages.get(f"{at}money/", 403)

    def test_a_second_piece_is_picked_and_another_commissions_is_not(
        self, pages: Pages, work: Work, piece: Piece
    ):
        at = f"/commissions/{piece.commission.number}/piece/"
        second = a_piece(work.call(), piece.commission, label="Bench")
        assert "Bench" in pages.get(f"{at}{second.number}/").words
        assert "no such piece" in pages.get(f"{at}{work.accepted().number}/", 404).words

    def test_a_promise_that_drying_alone_breaks_is_said_with_what_holds_it_up(
        self, pages: Pages, work: Work, piece: Piece
    ):
        soon = timezone.localdate() + timedelta(days=2)
        change_commission(work.call(), commission=piece.commission.number, promise_on=soon)
        words = pages.get(f"/commissions/{piece.commission.number}/").words
        assert "days late; held up by: Stock settling" in words
        far = timezone.localdate() + timedelta(days=300)
        change_commission(work.call(), commission=piece.commission.number, promise_on=far)
        assert "days in hand" in pages.get(f"/commissions/{piece.commission.number}/").words

    def test_milestones_first_and_everything_on_demand(self, pages: Pages, work: Work, piece: Piece):
        work.do(piece, "survey")
        at = f"/commissions/{piece.commission.number}/history/"
        assert "finished after" in pages.get(at).words and "started" not in pages.get(at).words
        assert "started" in pages.get(f"{at}?all").words


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
        page = pages.send(f"/commissions/{number}/move/declined/", status=409)
        assert "cannot become declined" in page.words

    def test_no_other_move_is_made_by_hand(self, pages: Pages, number: str):
        pages.get(f"/commissions/{number}/move/closed/", 404)
