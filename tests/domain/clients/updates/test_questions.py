"""A client's question: it reminds until it is settled."""

import pytest

from jobs.core.errors import AlreadyDone, NotFound
from jobs.domain.clients.updates import ask_shop, client_actor, settle_question
from jobs.domain.reminders.subject_wording import SubjectNews
from jobs.models import ClientQuestion, ReminderDue
from tests.domain.clients.updates.news import due, tell
from tests.shop_fixtures import a_call, a_maker

pytestmark = pytest.mark.django_db


def ask(work, piece, words="How is it?"):
    client = client_actor(piece.commission.client)
    done = ask_shop(a_call(client, work.call().at), commission=piece.commission.number, words=words)
    return ClientQuestion.objects.get(id=done.events[0].seq * 1000)


def test_a_question_reminds_everybody_until_it_is_settled(work, piece):
    a_maker()
    first = ask(work, piece)
    reminder = due("client asked")
    assert reminder.due_at == first.asked_at
    assert "the client asked something" in SubjectNews([reminder], now=work.now)[reminder].headline
    assert ReminderDue.objects.filter(kind="client asked", channel="screen").count() == 2
    second = ask(work, piece)
    tell(work, piece, answers=[first.id])
    assert due("client asked").subject == f"question:{second.id}"
    settle_question(work.call(), question=second.id, how="on the telephone")
    assert due("client asked") is None
    for again in (
        lambda: settle_question(work.call(), question=second.id),
        lambda: tell(work, piece, answers=[first.id]),
    ):
        with pytest.raises(AlreadyDone):
            again()


def test_a_question_of_another_commission_is_not_answered_here(work, piece):
    other = ask(work, work.accepted())
    with pytest.raises(NotFound):
        tell(work, piece, answers=[other.id])
