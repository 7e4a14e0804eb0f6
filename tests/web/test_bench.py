"""The bench: the first job and why, the rest in order, all that waits, reminders and their answers."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from jobs.domain.billing.prices import Line
from jobs.domain.commissions.commissions import move_commission
from jobs.domain.overviews.jobs import shuts_at
from jobs.domain.quoting.quotes import draft_quote, issue_offer
from jobs.domain.quoting.sending import send_offer
from jobs.log.projectors import Turn, refill
from jobs.models import Commission, Payment, Person, Piece, ReminderDue, ReminderReply, Stage, Wait
from tests.shop_fixtures import (
    ROUTES,
    Work,
    a_client,
    a_commission,
    a_piece,
    a_price,
    quick_sheets,
    two_wrapped,
)
from tests.web.conftest import in_clamps
from tests.web.pages import Page, Pages, head

LINKS_TO_FIRST = 2
"""The first job is linked from its picture and its button."""


def section(page: Page, heading: str) -> str:
    """Return the words under a heading, up to the next one."""
    _, _, rest = page.text.partition(f">{heading}</h2>")
    return " ".join(rest.partition("<h2")[0].split())


def first(page: Page) -> str:
    """Return the words of the first job, on slate."""
    _, _, rest = page.text.partition('class="first"')
    return " ".join(rest.partition('id="bench"')[0].split())


@pytest.fixture
def glued(work: Work, slow_piece: Piece) -> Piece:
    """Return a piece in clamps for forty minutes: the squeeze-out is rubbery, the clamps stay on."""
    in_clamps(work, slow_piece, minutes=40)
    return slow_piece


def test_an_empty_bench_says_what_to_do_first(pages: Pages):
    page = pages.get("/")
    assert "Enter the first commission" in first(page) and 'href="/commissions/new/"' in first(page)


def test_the_first_job_says_what_of_which_piece_why_and_how_to_begin(pages: Pages, piece: Piece):
    said = first(pages.get("/"))
    assert "Desk top" in said and ("<b>First</b> because" in said or "Nothing presses" in said)
    assert re.search(rf'class="go" id="first" href="/pieces/{piece.number}/stages/survey/">Start<', said)
    assert "001" in said and piece.commission.number not in Page(pages.get("/").answer).words, "in short"


def test_what_is_under_way_says_how_long_and_can_be_finished(pages: Pages, work: Work, piece: Piece):
    work.start(piece, "survey")
    said = first(pages.get("/"))
    assert ">Finish<" in said and "so far" in said and "The clock runs" in said
    assert "Ada at 001" in pages.get("/").words


def test_an_open_window_is_the_first_job_and_stands_once(pages: Pages, glued: Piece):
    page = pages.get("/")
    said = first(page)
    assert "because its window shuts soonest" in said and "sets hard" in said and "closes" in said
    assert f"/pieces/{glued.number}/stages/scrape/" in said
    assert f"/pieces/{glued.number}/stages/scrape/" not in section(page, "Then")


def test_what_opens_before_the_shop_shuts_follows_with_its_time(pages: Pages, glued: Piece):
    estimate = Wait.objects.get(kind="unclamp").estimate
    then = section(pages.get("/"), "Then")
    listed = "frees the clamps" in then and "from about" in then
    assert listed == (estimate.ready_at <= shuts_at(timezone.now()))


def test_all_that_waits_is_drawn_on_one_axis_and_said_in_words(pages: Pages, glued: Piece):
    waiting = section(pages.get("/"), "Waiting")
    assert (
        "Glue, clamps on" in waiting and 'class="bar joint' in waiting and 'class="wedge-bar thin"' in waiting
    )
    assert waiting.count('<li class="row">') == 1, "the squeeze-out is a window under the clamps"


def test_the_part_asked_for_again_holds_the_same_and_the_slate_beside_it(pages: Pages, glued: Piece):
    part = pages.get("/bench/now/")
    assert "<html" not in part.text and 'id="bench-now"' in part.text
    assert "because its window shuts soonest" in part.text and "Glue, clamps on" in part.text


def test_the_desk_comes_after_the_bench_and_only_for_the_owner(
    pages: Pages, maker_pages: Pages, work: Work, piece: Piece
):
    a_piece(work.call(), a_commission(work.call(), a_client(work.call()), "Mill house island"))
    then = section(pages.get("/"), "Then")
    assert "Write the quote" in then and "at the desk" in then
    assert "Write the quote" not in maker_pages.get("/").words


def test_a_quote_with_a_client_waits_on_the_axis(pages: Pages, work: Work, piece: Piece):
    enquiry = a_commission(work.call(), a_client(work.call()), "Mill house island")
    a_piece(work.call(), enquiry)
    line = Line(description="Island top", unit_price=Decimal("1900.00"), tax_pct=Decimal(0))
    draft_quote(work.call(), commission=enquiry.number, lines=[line], valid_days=30)
    issue_offer(work.call(), offer=f"{enquiry.number}-Q1")
    assert "Send the quote" in pages.get("/").words
    send_offer(work.call(), offer=f"{enquiry.number}-Q1", to="orla@fenwick.example")
    waiting = section(pages.get("/"), "Waiting")
    assert "Quote with client" in waiting and 'class="bar paper' in waiting


def test_nothing_is_said_to_be_left_without_when_hands_are_needed(pages: Pages, work: Work, piece: Piece):
    Wait.objects.all().delete()
    work.do_until(piece, "settle")
    page = pages.get("/")
    assert "Nothing to do" not in page.words
    assert "Hands are needed next" in first(page) or "from about" in first(page) or ">Start<" in first(page)


def test_what_is_done_for_a_whole_commission_stands_once(pages: Pages, work: Work, settings):
    settings.ROUTES_DIR = ROUTES
    quick_sheets(work.call())
    pair = two_wrapped(work)
    work.do(pair[0], "deliver")
    Commission.objects.update(step=Commission.Step.DELIVERED)
    Stage.objects.filter(key="deliver").update(step=Stage.Step.DONE)
    page = pages.get("/")
    assert page.text.count("/stages/paid/") == LINKS_TO_FIRST


def test_what_is_delivered_and_paid_leaves_the_bench(pages: Pages, work: Work, settings):
    settings.ROUTES_DIR = ROUTES
    quick_sheets(work.call())
    for piece in two_wrapped(work):
        work.do(piece, "deliver")
    assert "/stages/" not in pages.get("/").text


def test_a_cancelled_commission_leaves_the_bench(pages: Pages, work: Work, piece: Piece):
    move_commission(work.call(), commission=piece.commission.number, to="cancelled", reason="sold")
    assert piece.commission.number not in pages.get("/").words


class TestReminders:
    @pytest.fixture
    def told(self, pages: Pages, glued: Piece) -> Page:
        refill(since=Turn.ESTIMATES)
        return pages.get("/")

    def test_it_says_what_of_which_piece_in_one_line_and_leads_there_by_one_word(self, told: Page):
        words = section(told, "Reminders")
        assert "<b>001</b> Scrape" in words and "until" in words
        assert re.search(r'<a class="word" href="/pieces/[^"]+/stages/scrape/">Start</a>', words)

    def test_answers_are_folded_and_each_has_its_own_key(self, pages: Pages, told: Page):
        Wait.objects.filter(kind="unclamp").update(since=timezone.now() - timedelta(days=9))
        refill(since=Turn.ESTIMATES)
        page = pages.get("/")
        assert "ready since" in section(page, "Reminders")
        assert section(page, "Reminders").count("<details") == 2
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
        again = pages.send_form("/", after.form("/ask-again/"), {"form_key": "another"}, status=404)
        assert "was not answered" in again.words

    @pytest.mark.parametrize("minutes", ["10", "60"])
    def test_putting_off_brings_it_back_later(self, pages: Pages, told: Page, owner: Person, minutes: str):
        form = next(f for f in told.forms if f.typed.get("minutes") == minutes)
        pages.send_form("/", form)
        assert "Reminders" not in pages.get("/").words
        due = ReminderDue.objects.get(person=owner.id, channel="screen", kind="window opens")
        later = (due.due_at - timezone.now()).total_seconds() / 60
        assert due.attempt == 2 and later == pytest.approx(int(minutes), abs=1)

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
        page = Page(pages.http.post("/reminders/answer/", {**form.typed, **wrong}))
        assert page.status in (404, 422) and 'role="alert"' in page.text and head() == before


def test_a_wait_that_was_ended_runs_on_when_that_is_undone(pages: Pages, glued: Piece):
    wait = Wait.objects.get(kind="unclamp")
    pages.send(f"/waits/{wait.id}/end/", {"reason": "the glue is hard"}, to="/end/")
    assert Wait.objects.get(id=wait.id).step == "finished"
    pages.send_form("/", pages.get("/").form("/take-back/"))
    again = Wait.objects.get(id=wait.id)
    assert again.step == "running" and again.estimate.ready_at is not None


def test_a_payment_is_void_when_it_is_undone(pages: Pages, work: Work, piece: Piece):
    number = piece.commission.number
    a_price(work.call(), piece.commission)
    pages.send(f"/commissions/{number}/payment/", {"amount": "100"}, to="")
    pages.send_form("/", pages.get("/").form("/void/"))
    assert Payment.objects.get().voided_at is not None


def test_what_is_ready_is_a_job_and_waits_no_longer(pages: Pages, glued: Piece):
    Wait.objects.filter(kind="scrape").delete()
    Wait.objects.filter(kind="unclamp").update(since=timezone.now() - timedelta(days=9))
    refill(since=Turn.ESTIMATES)
    page = pages.get("/")
    assert "Take off the clamps" in page.words and "Glue, clamps on" not in page.words
