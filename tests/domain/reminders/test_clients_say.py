"""A client's message on their page reaches bench, mail and push at once, by each person's preferences."""

from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

from jobs.domain.billing.prices import Line
from jobs.domain.clients.updates import ask_shop, client_actor, settle_question
from jobs.domain.quoting.acceptance import accept_offer, decline_offer
from jobs.domain.quoting.quotes import draft_quote, issue_offer, rewrite_offer
from jobs.domain.reminders import delivery
from jobs.domain.reminders.channels.push import add_address
from jobs.domain.reminders.preferences import set_wishes
from jobs.domain.reminders.queries import reminders_due
from jobs.domain.reminders.replies import acknowledge_reminder
from jobs.domain.workshop.accounts import change_person
from jobs.log.rebuild import compare
from jobs.models import Channel, ClientQuestion, Delivery, ReminderDue
from tests.domain.reminders.conftest import Bench
from tests.mailbox import mails_in, text_of
from tests.shop_fixtures import a_call, a_client, a_commission, a_maker, a_piece

YES, NO, ASKED = "client said yes", "client said no", "client asked"


@pytest.fixture
def quote(bench: Bench) -> str:
    """Return a quote that the client has."""
    commission = a_commission(bench.call(), a_client(bench.call()))
    a_piece(bench.call(), commission)
    line = Line(description="Top as drawn", unit_price=Decimal(1000), tax_pct=Decimal(10))
    draft_quote(bench.call(), commission=commission.number, lines=[line])
    issue_offer(bench.call(), offer=f"{commission.number}-Q1")
    return f"{commission.number}-Q1"


def by_client(bench: Bench) -> Any:
    from jobs.models import Client

    return a_call(client_actor(Client.objects.get()), bench.call().at)


def ask(bench: Bench, words: str) -> ClientQuestion:
    ask_shop(by_client(bench), commission="2026-001", words=words)
    return ClientQuestion.objects.latest("id")


def due(kind: str) -> set[tuple[str, str]]:
    return set(ReminderDue.objects.filter(kind=kind).values_list("person", "channel"))


def on_bench(bench: Bench) -> list[str]:
    return [r["title"] for r in reminders_due(now=bench.now, person=bench.by.id)]


def sent(bench: Bench) -> list[Any]:
    delivery.deliver_due(bench.now)
    return mails_in(Path(settings.EMAIL_FILE_PATH))


def test_a_yes_is_told_at_once_to_owners_by_every_way_they_have(bench: Bench, quote: str):
    a_maker(email="ben@shop.example")
    add_address(bench.by, url="json://push.example/x")
    accept_offer(by_client(bench), offer=quote, version=1, name="Orla Fenwick")
    assert due(YES) == {(bench.by.id, str(c)) for c in (Channel.SCREEN, Channel.MAIL, Channel.PUSH)}
    assert on_bench(bench) == ["2026-001 Desk by the window: the client accepted the quote"]
    (mail,) = sent(bench)
    assert mail["Subject"] == "2026-001 Desk by the window: the client accepted the quote"
    text = text_of(mail)
    assert f"https://shop.example/offers/{quote}/" in text and "They wrote: Orla Fenwick" in text
    assert compare() == []


def test_a_no_is_told_with_what_they_wrote_and_ends_with_the_next_version(bench: Bench, quote: str):
    decline_offer(by_client(bench), offer=quote, version=1, reason="Too dear for us")
    (mail,) = sent(bench)
    assert "They wrote: Too dear for us" in text_of(mail)
    assert on_bench(bench) == ["2026-001 Desk by the window: the client declined the quote"]
    rewrite_offer(bench.call(), offer=quote, words="in ash")
    assert on_bench(bench) != []
    issue_offer(bench.call(), offer=quote)
    assert on_bench(bench) == []
    decline_offer(by_client(bench), offer=quote, version=2)
    assert len(sent(bench)) == 2, "a second no on the same day is sent too"


def test_what_the_owner_records_on_the_clients_word_is_no_news(bench: Bench, quote: str):
    decline_offer(bench.call(), offer=quote, version=1)
    assert not due(NO) and sent(bench) == []


def test_each_question_is_told_apart_until_it_is_settled(bench: Bench, quote: str):
    maker = a_maker(email="ben@shop.example")
    first, second = ask(bench, "Will it stain?"), ask(bench, "And when is it ready?")
    assert due(ASKED) == {(p.id, c) for p in (bench.by, maker) for c in ("screen", "mail")}
    assert len(on_bench(bench)) == 2
    texts = [text_of(mail) for mail in sent(bench) if mail["To"] == bench.by.email]
    assert sum("Will it stain?" in text for text in texts) == 1
    assert sum("And when is it ready?" in text for text in texts) == 1
    assert f"/commissions/2026-001/client/#q{first.id}" in "".join(texts)
    settle_question(bench.call(), question=first.id)
    seen = {"kind": ASKED, "subject": f"question:{second.id}", "occasion": "2026-03-02"}
    acknowledge_reminder(bench.call(), person=bench.by.id, **seen)
    assert on_bench(bench) == []
    assert compare() == []


def test_quiet_hours_and_wishes_hold_for_it(bench: Bench, quote: str):
    change_person(bench.by, quiet_from="11:00", quiet_to="18:00")
    decline_offer(by_client(bench), offer=quote, version=1)
    assert sent(bench) == [] and len(on_bench(bench)) == 1
    set_wishes(bench.by, {NO: {"may_wake": True}})
    assert len(sent(bench)) == 1
    set_wishes(bench.by, {ASKED: {"by_mail": False}})
    ask(bench, "May we talk?")
    bench.now += timedelta(hours=9)
    assert len(sent(bench)) == 1 and not Delivery.objects.filter(kind=ASKED).exists()


def test_what_they_wrote_does_not_go_through_a_push_service(bench: Bench, quote: str):
    from jobs.domain.reminders.wording import Told, wording

    ask(bench, "My door code is 4711")
    reminder = ReminderDue.objects.filter(kind=ASKED).first()
    words = wording(bench.by, [Told(due=reminder, late=False)], now=bench.now)
    assert "4711" in words.text and "4711" not in words.brief
