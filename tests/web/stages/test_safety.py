"""Safety tasks on the bench: among what must not be missed, answered with what was done."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.models import Event, Person, ReminderDue, SafetyTask
from tests.shop_fixtures import ROUTES, SHORT, Work, quick_sheets
from tests.web.pages import Page, Pages, head


@pytest.fixture
def task(work: Work, settings) -> SafetyTask:
    settings.ROUTES_DIR = ROUTES
    quick_sheets(work.call())
    piece = work.accepted(**SHORT | {"finish_face": "quick-oil"})
    work.do_until(piece, "flatten")
    work.now = timezone.now() - timedelta(minutes=31)
    work.do(piece, "seal-1")
    return SafetyTask.objects.get()


def settle_form(page: Page, task: SafetyTask):
    return page.form(f"/safety/{task.id}/settle/")


def test_it_stands_in_the_list_with_its_caution_and_its_answer(maker_pages: Pages, task: SafetyTask):
    page = maker_pages.get("/")
    must = page.text.partition(">Then</h2>")[2].partition("</section>")[0]
    assert "Rags dealt with?" in must and "Sealing coat, 1 of 1" in must and "asked since" in must
    assert "closed metal can" in must and "NFPA" in must
    assert "Rags dealt with?" not in page.text.partition(">Reminders</h2>")[2], (
        "it does not stand there twice"
    )


def test_it_goes_with_the_word_what_was_done(pages: Pages, maker_pages: Pages, task: SafetyTask):
    form = settle_form(pages.get("/"), task)
    pages.send_form("/", form, {"how": "spread flat on the fence"})
    assert "Rags" not in pages.get("/").words
    assert "Rags" not in maker_pages.get("/").words
    number = task.piece.commission.number
    assert "spread flat on the fence" in pages.get(f"/commissions/{number}/history/?all").words
    pages.send_form("/", form, {"how": "spread flat on the fence"})
    assert Event.objects.filter(kind="task_settled").count() == 1


def test_a_nod_is_refused_and_what_was_typed_stays(pages: Pages, task: SafetyTask):
    form, before = settle_form(pages.get("/"), task), head()
    page = pages.send_form("/", form, {"how": " "}, status=422)
    assert "Say what was done" in page.words and head() == before
    page = pages.send_form("/", form, {"how": "x" * 2001}, status=422)
    assert settle_form(page, task).typed["how"] == "x" * 2001 and head() == before


def test_it_is_put_off_and_no_further_than_closing(pages: Pages, owner: Person, task: SafetyTask):
    at = f"/safety/{task.id}/put-off/"
    assert "cannot be put off by that" in pages.post(at, {"minutes": "7"}, 422).words.lower()
    SafetyTask.objects.update(closing_at=timezone.now() + timedelta(hours=2))
    pages.post(at, {"minutes": "10", "form_key": "k"})
    due = ReminderDue.objects.get(person=owner.id, channel="screen", kind="safety task")
    assert due.attempt == 2 and (due.due_at - timezone.now()).total_seconds() == pytest.approx(600, abs=60)
    SafetyTask.objects.update(closing_at=timezone.now() + timedelta(minutes=30))
    assert "closing time" in pages.post(at, {"minutes": "60"}, 422).words


def test_the_closing_time_is_set_on_the_shops_page(pages: Pages):
    assert pages.get("/shop/hours/").form().typed["closing_time"] == "17:30"
    pages.send("/shop/hours/", {"closing_time": "16:00"})
    page = pages.send("/shop/hours/", {"closing_time": "4 pm"}, status=422)
    assert "00:00 to 23:59" in page.errors["closing_time"]
