"""News to a client: recorded, and mailed once to a real server; and what is refused."""

import io
import re
from datetime import timedelta

import pytest
from django.apps import apps
from django.test import Client as Browser
from PIL import Image

from jobs.core.errors import AlreadyDone, Forbidden, Invalid, NotFound, Stale
from jobs.domain.clients.commands import change_client
from jobs.domain.clients.erasure_commands import forget_client
from jobs.domain.clients.portal_links import find_link, links_of, make_link, revoke_links
from jobs.domain.clients.update_mail import message_id
from jobs.domain.clients.updates import (
    LONGEST_WORDS,
    MOST_PICTURES,
    ask_shop,
    client_actor,
    settle_question,
    tell_client,
    update_views,
)
from jobs.domain.commissions.commissions import move_commission
from jobs.domain.notes.pictures import take_picture
from jobs.domain.reminders.subject_wording import SubjectNews
from jobs.domain.workshop.commands import set_shop
from jobs.models import (
    ClientLink,
    ClientQuestion,
    ClientUpdate,
    Event,
    OutboxMessage,
    Picture,
    ReminderDue,
)
from jobs.worker.outbox import FIRST_DELAY, dispatch_outbox
from tests.mailbox import MailServer, html_of, text_of
from tests.shop_fixtures import Work, a_call, a_maker, an_owner

pytestmark = pytest.mark.django_db
TO = "orla@fenwick.example"


@pytest.fixture(autouse=True)
def _own_files(tmp_path, settings):
    settings.FILES_DIR, settings.DATA_DIR = tmp_path / "files", tmp_path
    settings.FILES_DIR.mkdir()


@pytest.fixture
def server(settings):
    with MailServer() as server:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
        settings.DEFAULT_FROM_EMAIL = "shop@lindenau.example"
        yield server


@pytest.fixture
def work():
    work = Work(an_owner(name="Ada Lindenau"))
    set_shop(work.call(), name="Lindenau Table Works", contact="555 0199", settings={"tell_client_days": 10})
    return work


@pytest.fixture
def piece(work):
    piece = work.accepted()
    change_client(work.call(), client=piece.commission.client_id, email=TO)
    return piece


def a_picture(work, piece, stage="survey"):
    out = io.BytesIO()
    Image.new("RGB", (1800, 1200), "peru").save(out, "JPEG")
    take_picture(work.call(), piece=piece.number, stage=stage, picture=out.getvalue(), words="a flaw here")
    return Picture.objects.last().id


def tell(work, piece, words="The <b>top</b> is in clamps", **more):
    return tell_client(work.call(), commission=piece.commission.number, words=words, **more)


def test_it_goes_out_once_as_text_and_html_with_its_pictures_inside(server, work, piece):
    tell(work, piece, pictures=[a_picture(work, piece)])
    update = ClientUpdate.objects.get()
    assert update_views([update])[0]["mail"] == "waiting"
    assert dispatch_outbox(work.now) == 1 and dispatch_outbox(work.now + timedelta(days=2)) == 0
    (mail,) = server.mails
    assert (mail["To"], mail["From"]) == (TO, "Lindenau Table Works <shop@lindenau.example>")
    assert mail["Subject"] == "Desk by the window: news from Lindenau Table Works"
    assert "The <b>top</b> is in clamps" in text_of(mail)
    assert "The &lt;b&gt;top&lt;/b&gt; is in" in html_of(mail) and "flaw" not in mail.as_string()
    (picture,) = [p for p in mail.walk() if p.get_content_type() == "image/jpeg"]
    assert f"cid:{picture['Content-ID'].strip('<>')}" in html_of(mail)
    seen = Image.open(io.BytesIO(picture.get_content()))
    assert seen.size == (1000, 667) and not seen.getexif()
    assert update_views([update])[0]["mail"] == "sent"


def test_an_answer_goes_to_the_shops_own_address_and_is_asked_for_where_there_is_one(server, work, piece):
    tell(work, piece)
    dispatch_outbox(work.now)
    set_shop(work.call(), email="bench@lindenau.example")
    tell(work, piece, words="It is dry")
    dispatch_outbox(work.now)
    without, with_one = server.mails
    assert without["Reply-To"] is None and "answer this mail" not in text_of(without) + html_of(without)
    assert with_one["Reply-To"] == "Lindenau Table Works <bench@lindenau.example>"
    assert "answer this mail" in text_of(with_one) and "answer this mail" in html_of(with_one)


def test_the_shops_address_is_one_address(work):
    with pytest.raises(Invalid) as refused:
        set_shop(work.call(), email="bench at lindenau")
    assert refused.value.field == "email"


def test_a_worker_that_died_after_sending_sends_the_same_message(server, work, piece):
    tell(work, piece)
    dispatch_outbox(work.now)
    OutboxMessage.objects.update(done_at=None, next_at=work.now)
    dispatch_outbox(work.now)
    first, second = (mail["Message-ID"] for mail in server.mails)
    assert first == second == message_id(ClientUpdate.objects.get())


def token_in(mail) -> str:
    """Return the token of the link in a mail; both of its forms carry the same one."""
    (token,) = set(re.findall(r"https://shop\.example/c/([\w-]{43})/", text_of(mail) + html_of(mail)))
    return str(token)


class TestTheLinkInAMail:
    @pytest.fixture(autouse=True)
    def _public(self, settings):
        settings.PUBLIC_URL = "https://shop.example"

    def test_it_opens_the_clients_page_and_its_token_is_kept_nowhere(self, server, work, piece):
        tell(work, piece)
        assert not ClientLink.objects.exists(), "made as it is sent, not before"
        dispatch_outbox(work.now)
        token = token_in(server.mails[0])
        rows = list(ClientLink.objects.values())
        page = Browser().get(f"/c/{token}/")
        assert page.status_code == 200 and "Desk by the window" in page.content.decode()
        assert list(ClientLink.objects.values()) == rows, "opening it changes nothing"
        (link,) = links_of(piece.commission.number)
        assert link.mail == f"update:{ClientUpdate.objects.get().id}" and link.made_by == work.by.id
        kept = str([list(model.objects.values()) for model in apps.get_app_config("jobs").get_models()])
        assert token not in kept and link.sha256 in kept

    def test_each_mail_has_its_own_and_the_one_handed_over_stays(self, server, work, piece):
        number = piece.commission.number
        handed = make_link(work.by, commission=number, now=work.now)[1]
        for words in ("In clamps", "Out of clamps"):
            tell(work, piece, words)
            dispatch_outbox(work.now)
        first, second = map(token_in, server.mails)
        assert first != second and all(find_link(token) for token in (handed, first, second))
        again = make_link(work.by, commission=number, now=work.now)[1]
        assert find_link(handed) is None and all(find_link(token) for token in (again, first, second))

    def test_one_is_revoked_or_all_are(self, server, work, piece):
        number = piece.commission.number
        for words in ("In clamps", "Out of clamps"):
            tell(work, piece, words)
            dispatch_outbox(work.now)
        first, second = map(token_in, server.mails)
        revoke_links(commission=number, link=find_link(first).id, now=work.now)
        assert find_link(first) is None and find_link(second)
        assert Browser().get(f"/c/{first}/").status_code == 404
        revoke_links(commission=number, now=work.now)
        assert links_of(number) == []
        with pytest.raises(NotFound):
            revoke_links(commission=number, now=work.now)

    def test_a_repeat_after_a_death_carries_another_and_both_open(self, server, work, piece):
        tell(work, piece)
        dispatch_outbox(work.now)
        OutboxMessage.objects.update(done_at=None, next_at=work.now)
        dispatch_outbox(work.now)
        first, second = map(token_in, server.mails)
        assert first != second and find_link(first) and find_link(second)
        assert {link.mail for link in links_of(piece.commission.number)} == {find_link(first).mail}

    def test_a_mail_that_surely_did_not_go_out_leaves_none(self, server, work, piece, settings):
        tell(work, piece)
        settings.EMAIL_PORT, port = 1, server.port
        dispatch_outbox(work.now)
        settings.EMAIL_PORT, server.refuse_address = port, TO
        dispatch_outbox(work.now + FIRST_DELAY)
        assert not ClientLink.objects.exists()

    def test_forgetting_the_client_ends_it_and_none_is_made_for_a_mail_that_waits(self, server, work, piece):
        number = piece.commission.number
        tell(work, piece)
        dispatch_outbox(work.now)
        tell(work, piece, "This one waits")
        move_commission(work.call(), commission=number, to="cancelled", reason="moved away")
        forget_client(work.call(), client=piece.commission.client_id, confirm=number)
        dispatch_outbox(work.now)
        assert len(server.mails) == 1 and find_link(token_in(server.mails[0])) is None
        assert links_of(number) == []


def test_a_server_that_is_away_is_asked_again(server, work, piece, settings):
    tell(work, piece)
    settings.EMAIL_PORT, port = 1, server.port
    assert dispatch_outbox(work.now) == 0
    view = update_views(ClientUpdate.objects.all())[0]
    assert view["mail"] == "waiting" and "away" in view["trouble"]
    settings.EMAIL_PORT = port
    assert dispatch_outbox(work.now + FIRST_DELAY) == 1 and len(server.mails) == 1


def test_a_refused_address_is_not_tried_for_ever_and_is_not_named(server, work, piece, caplog):
    server.refuse_address = TO
    tell(work, piece)
    assert dispatch_outbox(work.now) == 0 and dispatch_outbox(work.now + timedelta(days=9)) == 0
    view = update_views(ClientUpdate.objects.all())[0]
    assert view["mail"] == "not sent" and view["trouble"].endswith("refused it: 550")
    said = [record.getMessage() for record in caplog.records if record.name != "mail.log"]  # its own lines
    assert TO not in str([list(OutboxMessage.objects.values()), said])


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


def due(kind):
    return ReminderDue.objects.filter(kind=kind, channel="screen").order_by("due_at").first()


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
