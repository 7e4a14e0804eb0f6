"""News to a client: recorded once, and what is refused."""

from datetime import timedelta

import pytest

from jobs.core.errors import Forbidden, Invalid, Stale
from jobs.domain.clients.updates import LONGEST_WORDS, MOST_PICTURES, tell_client
from jobs.domain.commissions.commissions import move_commission
from jobs.models import ClientUpdate, Event, OutboxMessage
from tests.domain.clients.updates.news import a_picture, due, tell
from tests.shop_fixtures import a_call, a_maker

pytestmark = pytest.mark.django_db


def test_without_an_address_it_stands_in_the_diary_alone(work):
    piece = work.accepted()
    done = tell(work, piece)
    assert "only in the client's diary" in done.notices[0]
    assert not ClientUpdate.objects.get().by_mail and not OutboxMessage.objects.exists()


def test_the_event_holds_no_word_of_it(work, piece):
    tell(work, piece, "A secret for the client")
    assert "secret" not in str(list(Event.objects.values()))


def test_the_same_key_tells_once(work, piece):
    call = work.call(key="once", fingerprint="x")
    for _ in range(2):
        tell_client(call, commission=piece.commission.number, words="News")
    assert ClientUpdate.objects.count() == OutboxMessage.objects.count() == 1


@pytest.mark.parametrize(
    "asked, field",
    [
        ({"words": "  "}, "words"),
        ({"words": "x" * (LONGEST_WORDS + 1)}, "words"),
        ({"words": "x", "pictures": [1]}, "pictures"),
        ({"words": "x", "pictures": range(MOST_PICTURES + 1)}, "pictures"),
    ],
)
def test_what_cannot_be_told_is_refused(work, piece, asked, field):
    before = Event.objects.count()
    with pytest.raises(Invalid) as refused:
        tell_client(work.call(), commission=piece.commission.number, **asked)
    assert refused.value.field == field and refused.value.allowed and Event.objects.count() == before


def test_a_picture_of_another_client_or_of_the_owners_stage_is_not_shown_by_a_maker(work, piece):
    other, maker = work.accepted(), a_maker()
    with pytest.raises(Invalid):
        tell(work, piece, pictures=[a_picture(work, other)])
    owners = a_picture(work, piece, "paid")
    with pytest.raises(Forbidden):
        tell_client(a_call(maker, work.now), commission=piece.commission.number, words="x", pictures=[owners])
    tell(work, piece, pictures=[owners])


def test_a_version_seen_before_is_refused(work, piece):
    seen = piece.commission.version - 1
    with pytest.raises(Stale):
        tell_client(work.call(seen=seen), commission=piece.commission.number, words="x")


def test_being_told_puts_the_reminder_off_whatever_the_step_did(work, piece):
    before = due("client not told").due_at
    work.go(days=6)
    tell(work, piece)
    told = work.now.date()
    assert due("client not told").due_at.date() == told + timedelta(days=10)
    assert due("client not told").due_at - before == timedelta(days=6)
    work.go(days=3)
    move_commission(work.call(), commission=piece.commission.number, to="cancelled", reason="x")
    assert due("client not told") is None
