"""The bench: what can be done, what is under way, what waits, what is urgent; reminders and their answers."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.domain.commissions.commissions import move_commission
from jobs.log.projectors import Turn, refill
from jobs.models import Person, Piece, ReminderDue, ReminderReply, Wait
from tests.shop_fixtures import ROUTES, Work, quick_sheets, stage_of, two_wrapped
from tests.web.conftest import in_clamps
from tests.web.pages import Page, Pages, head


def section(page: Page, heading: str) -> str:
    """Return the words under a heading, up to the next one."""
    _, _, rest = page.text.partition(f">{heading}</h2>")
    return " ".join(rest.partition("<h2")[0].split())


@pytest.fixture
def glued(work: Work, slow_piece: Piece) -> Piece:
    """Return a piece in clamps for forty minutes: the squeeze-out is rubbery, the clamps stay on."""
    in_clamps(work, slow_piece, minutes=40)
    return slow_piece


def test_an_empty_bench_says_so(pages: Pages):
    words = pages.get("/").words
    assert "Nothing to do by hand" in words and "No glue, coat or stock is waiting" in words


def test_what_can_be_done_stands_with_its_names(pages: Pages, piece: Piece):
    can = section(pages.get("/"), "Can be done now")
    assert "Site survey and drawing approved" in can and "Desk top" in can and piece.commission.number in can
    assert f"/pieces/{piece.number}/stages/survey/" in can


def test_what_is_under_way_can_be_finished(pages: Pages, work: Work, piece: Piece):
    work.start(piece, "survey")
    assert "Finish" in section(pages.get("/"), "Under way")


def test_an_open_window_must_not_be_missed_and_stands_once(pages: Pages, glued: Piece):
    page = pages.get("/")
    must = section(page, "Must not be missed")
    assert "Squeeze-out scraped" in must and "closes" in must and 'class="glue open' in must
    assert "Squeeze-out scraped" not in section(page, "Can be done now")


def test_a_running_wait_is_drawn_with_its_ready_time(pages: Pages, glued: Piece):
    waiting = section(pages.get("/"), "Waiting")
    wait = Wait.objects.get(kind="unclamp")
    assert "Glue holding, clamps stay on" in waiting
    assert f'data-end="{wait.estimate.latest_at.isoformat()}"' in waiting, "as long as it can take"
    assert wait.estimate.ready_at <= wait.estimate.latest_at


def test_the_part_asked_for_again_holds_the_same(pages: Pages, glued: Piece):
    part = pages.get("/bench/now/", **{"HX-Request": "true"})
    assert "<html" not in part.text and "Must not be missed" in part.words


def test_what_is_done_for_a_whole_commission_stands_once(pages: Pages, work: Work, settings):
    settings.ROUTES_DIR = ROUTES
    quick_sheets(work.call())
    pair = two_wrapped(work)
    for piece in pair:
        work.do(piece, "deliver")
    number = pair[0].commission.number
    assert section(pages.get("/"), "Can be done now").count("the whole commission") == 1
    page = pages.get(f"/commissions/{number}/")
    assert page.words.count("the whole commission") == 1
    pages.send(f"/pieces/{pair[0].number}/stages/paid/", to="/start/")
    assert "whole commission" not in section(pages.get("/"), "Can be done now")
    pages.send(f"/pieces/{pair[0].number}/stages/paid/", to="/finish/")
    assert {stage_of(piece, "paid").step for piece in pair} == {"done"}


def test_a_cancelled_commission_leaves_the_bench(pages: Pages, work: Work, piece: Piece):
    move_commission(work.call(), commission=piece.commission.number, to="cancelled", reason="sold")
    assert piece.commission.number not in pages.get("/").words


class TestReminders:
    @pytest.fixture
    def told(self, pages: Pages, glued: Piece) -> Page:
        refill(since=Turn.ESTIMATES)
        return pages.get("/")

    def test_it_says_what_and_of_which_piece(self, told: Page):
        words = section(told, "Reminders that can wait")
        assert "Squeeze-out scraped" in words and "can be done since" in words and "Desk top" in words

    def test_what_presses_stands_above_the_work_and_what_can_wait_below(self, pages: Pages, told: Page):
        """The open window is among what must not be missed: its reminder is the less urgent of two."""
        Wait.objects.filter(kind="unclamp").update(since=timezone.now() - timedelta(days=9))
        refill(since=Turn.ESTIMATES)
        page = pages.get("/")
        headings = re.findall(r"<h2[^>]*>([^<]*)</h2>", page.text)
        assert headings == [
            "Must not be missed", "Reminders", "Can be done now", "Waiting", "Reminders that can wait",
        ]  # fmt: skip
        assert "ready since" in section(page, "Reminders")
        keys = re.findall(r'name="form_key" value="([^"]+)"', page.text)
        assert len(keys) == len(set(keys)) == 6, "two reminders, three answers to each"

    def test_seen_takes_it_off_for_this_person_only(self, pages: Pages, maker_pages: Pages, told: Page):
        refill(since=Turn.ESTIMATES)
        pages.send_form("/", told.form("/answer/"))
        assert "Reminders" not in pages.get("/").words
        assert "Reminders" in maker_pages.get("/").words

    @pytest.mark.parametrize("minutes", ["", "60"])
    def test_an_answer_can_be_undone_on_the_next_page_and_only_there(
        self, pages: Pages, told: Page, minutes: str
    ):
        form = next(f for f in told.forms if f.typed.get("minutes", "") == minutes and "kind" in f.typed)
        pages.send_form("/", form)
        after = pages.get("/")
        assert "Undo" in after.words and "Undo" not in pages.get("/").words
        assert "Reminders" not in after.words
        pages.send_form("/", after.form("/ask-again/"))
        assert "Reminders" in pages.get("/").words and ReminderReply.objects.count() == 0
        pages.send_form("/", after.form("/ask-again/"), {"form_key": "another"})
        assert "was not answered" in pages.get("/").words

    @pytest.mark.parametrize("minutes", ["10", "60"])
    def test_putting_off_brings_it_back_later(self, pages: Pages, told: Page, owner: Person, minutes: str):
        form = next(f for f in told.forms if f.typed.get("minutes") == minutes)
        pages.send_form("/", form)
        assert "Reminders" not in pages.get("/").words
        due = ReminderDue.objects.get(person=owner.id, channel="screen", kind="window opens")
        later = (due.due_at - timezone.now()).total_seconds() / 60
        assert due.attempt == 2 and later == pytest.approx(int(minutes), abs=1)

    def test_it_answers_with_the_bench_where_only_that_part_is_asked_for(self, pages: Pages, told: Page):
        page = pages.send_form("/", told.form("/answer/"), status=200, **{"HX-Request": "true"})
        assert "<html" not in page.text and "Reminders" not in page.words

    def test_twice_the_same_answer_is_one(self, pages: Pages, told: Page):
        form = told.form("/answer/")
        pages.send_form("/", form)
        pages.send_form("/", form)
        assert ReminderReply.objects.count() == 1

    @pytest.mark.parametrize("wrong", [{"wait": "9"}, {"wait": "x"}, {"kind": "no such"}, {"minutes": "7"}])
    def test_an_answer_to_nothing_is_refused_on_the_bench(
        self, pages: Pages, told: Page, wrong: dict[str, str]
    ):
        form, before = told.form("/answer/"), head()
        page = pages.post("/reminders/answer/", {**form.typed, **wrong}, 200, **{"HX-Request": "true"})
        assert 'role="alert"' in page.text and head() == before
        pages.post("/reminders/answer/", {**form.typed, **wrong})
        assert 'class="alert error"' in pages.get("/").text
