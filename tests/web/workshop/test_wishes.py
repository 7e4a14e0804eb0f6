"""The page of one's reminder preferences, pushes, and the list of lost reminders."""

from collections.abc import Iterator
from datetime import timedelta
from ipaddress import ip_network
from typing import Any

import pytest
from django.utils import timezone

from jobs.domain.commissions.commissions import change_commission
from jobs.models import Delivery, Person, Piece, PushAddress, ReminderDue, ReminderPreference, ReminderReply
from tests.domain.reminders.sink import PushSink
from tests.shop_fixtures import Work
from tests.web.pages import Pages


@pytest.fixture
def sink(settings: Any) -> Iterator[PushSink]:
    settings.PUSH_NETWORKS = [ip_network("127.0.0.0/8")]
    with PushSink() as sink:
        yield sink


@pytest.fixture
def promised(work: Work, piece: Piece) -> ReminderDue:
    """Return the reminder of a promise for tomorrow."""
    tomorrow = timezone.localdate() + timedelta(days=1)
    change_commission(work.call(), commission=piece.commission.number, promise_on=tomorrow)
    return ReminderDue.objects.get(kind="promise at risk", channel="mail")


def test_wishes_are_set_in_one_table(pages: Pages, owner: Person):
    typed = {"ready-lead_min": "10", "ready-by_push": "", "window-closes-soon-may_wake": "on"}
    pages.send("/me/reminders/", typed)
    owner.refresh_from_db()
    assert owner.wake_for_closing
    wish = ReminderPreference.objects.get(kind="ready")
    assert (wish.lead_min, wish.by_push, wish.by_mail) == (10, False, True)
    assert ReminderPreference.objects.count() == 2, "only what was changed is kept"
    assert pages.get("/me/reminders/").form().typed["ready-lead_min"] == "10"


def test_a_wrong_wish_is_said_in_its_row(pages: Pages):
    page = pages.send("/me/reminders/", {"safety-task-repeat_min": "3"}, status=422)
    assert "5 to 1440 minutes" in page.words and not ReminderPreference.objects.exists()


def test_a_maker_has_no_row_for_payments(pages: Pages, maker_pages: Pages):
    assert "Payment due or late" in pages.get("/me/reminders/").words
    assert "Payment due or late" not in maker_pages.get("/me/reminders/").words


def test_a_push_address_is_tried_out_and_never_shown(pages: Pages, sink: PushSink):
    pages.send("/me/reminders/", {"label": "phone", "url": sink.url}, to="/me/push/#push")
    page = pages.get("/me/reminders/")
    assert "phone" in page.words and sink.secret not in page.text
    pages.send("/me/reminders/", {}, to="/push/test/")
    assert len(sink.pushes) == 1
    sink.status = 500
    pages.send("/me/reminders/", {}, to="/push/test/")
    page = pages.get("/me/reminders/")
    assert "could not be sent: HTTP 500" in page.words and sink.secret not in page.text
    pages.send("/me/reminders/", {}, to="/remove/")
    assert not PushAddress.objects.exists()
    page = pages.send("/me/reminders/", {"url": "nosuch://x"}, to="/me/push/#push", status=422)
    assert page.errors["url"]


def test_what_is_told_of_the_day_stands_on_the_bench(pages: Pages, promised: ReminderDue, piece: Piece):
    page = pages.get("/")
    assert "not ready" in page.words and f'href="/commissions/{piece.commission.number}/"' in page.text
    form = page.form("/answer/")
    pages.send_form("/", form)
    assert ReminderReply.objects.get().subject == promised.subject
    assert "not ready" not in pages.get("/").words


def test_what_was_lost_is_sent_anew(pages: Pages, promised: ReminderDue, owner: Person):
    lost = Delivery.objects.create(
        wait_key=0, subject=promised.subject, occasion=promised.occasion, kind=promised.kind, person=owner.id,
        channel="mail", attempt=1, due_at=promised.due_at, claimed_at=promised.due_at, message_id="m",
        error="no such host", step=Delivery.Step.GIVEN_UP, tries=24,
    )  # fmt: skip
    assert "no such host" in pages.get("/lost-mail/").words
    pages.send("/lost-mail/", {}, to="/resend/")
    lost.refresh_from_db()
    assert (lost.step, lost.tries) == ("failed", 0)
    assert "on its way again" in pages.get("/lost-mail/").words


def test_a_commission_says_after_how_long_its_client_is_to_be_told(pages: Pages, piece: Piece):
    path = f"/commissions/{piece.commission.number}/change/"
    pages.send(path, {"tell_days": "5"})
    piece.commission.refresh_from_db()
    assert piece.commission.tell_days == 5
    pages.send(path, {"tell_days": ""})
    piece.commission.refresh_from_db()
    assert piece.commission.tell_days is None
