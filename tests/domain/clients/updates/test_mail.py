"""News by mail: sent once to a real server, asked again where it is away."""

import io
from datetime import timedelta

import pytest
from PIL import Image

from jobs.core.errors import Invalid
from jobs.domain.clients.mailing import message_id
from jobs.domain.clients.updates import update_views
from jobs.domain.workshop.commands import set_shop
from jobs.models import ClientUpdate, OutboxMessage
from jobs.worker.outbox import FIRST_DELAY, dispatch_outbox
from tests.domain.clients.updates.news import TO, a_picture, tell
from tests.mailbox import html_of, text_of

pytestmark = pytest.mark.django_db


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
