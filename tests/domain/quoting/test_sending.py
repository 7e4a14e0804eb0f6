"""A quote sent to its client: by a real mail with PDF, drawing and its own link; what is lost is shown."""

import io
import re
from datetime import timedelta
from email.message import EmailMessage

import pikepdf
import pytest

from jobs.core.errors import Invalid, NotYet, ShopError
from jobs.domain.clients.commands import change_client
from jobs.domain.clients.portal_links import find_link, link_views, revoke_links, sending_of_link
from jobs.domain.papers.sending import record_opening, sending_views
from jobs.domain.quoting.quotes import rewrite_offer
from jobs.domain.quoting.sending import follow_up, send_offer
from jobs.domain.workshop.commands import set_shop
from jobs.log.private_texts import read
from jobs.models import Client, ClientLink, Commission, Event, Offer, PaperSending, Piece
from jobs.worker.outbox import FIRST_DELAY, dispatch_outbox
from tests.domain.quoting.offers import accept, drafted, newest
from tests.mailbox import MailServer, html_of, text_of
from tests.shop_fixtures import Work

pytestmark = pytest.mark.django_db
TO = "orla@fenwick.example"


@pytest.fixture
def addressed(work: Work, piece: Piece) -> Piece:
    """Return the piece of a client with an address, in a shop with a name."""
    set_shop(work.call(), name="Lindenau Table Works", email="bench@lindenau.example", contact="555 0199")
    change_client(work.call(), client=piece.commission.client_id, email=TO)
    return piece


def delivered(server: MailServer, work: Work) -> EmailMessage:
    """Let the worker send what waits; return the newest mail."""
    while dispatch_outbox(work.now):
        pass
    return server.mails[-1]


def token_in(mail: EmailMessage) -> str:
    found = set(re.findall(r"/c/([\w-]+)/", text_of(mail) + html_of(mail)))
    assert len(found) == 1
    return found.pop()


def test_one_command_issues_a_draft_and_mails_it_with_pdf_drawing_and_link(
    server: MailServer, work: Work, addressed: Piece
):
    offer = drafted(work, addressed, promise_on=work.now.date() + timedelta(days=60))
    send_offer(work.call(), offer=offer.number)
    assert newest(offer).step == "issued" and Commission.objects.get().step == "quoted"
    mail = delivered(server, work)
    assert (mail["To"], mail["Reply-To"]) == (TO, "Lindenau Table Works <bench@lindenau.example>")
    words = text_of(mail).replace("\r", "")
    assert words.startswith(
        "Hello Orla Fenwick,\n\nHere is our quote for your desk by the window. It is good"
    )
    assert "Together, sales tax included: " in words and "Deposit, with your order: " in words
    files = {part.get_filename(): part.get_content() for part in mail.iter_attachments()}
    assert list(files) == ["Q2026-0001.pdf", f"drawing-{addressed.commission.number}.pdf"]
    assert all(len(pikepdf.open(io.BytesIO(content)).pages) in (1, 2) for content in files.values())
    link = find_link(token_in(mail))
    assert link is not None and link.commission == addressed.commission.number
    (view,) = link_views(addressed.commission.number)
    assert (view["paper"], view["kind"], view["opened_at"]) == ("Q2026-0001", "quote", None)
    assert sending_of_link(link) == PaperSending.objects.get().id
    assert sending_views(PaperSending.objects.all())[0]["mail"] == "sent"


def test_each_mail_has_its_own_link_and_each_can_be_revoked(server: MailServer, work: Work, addressed: Piece):
    offer = drafted(work, addressed)
    send_offer(work.call(), offer=offer.number)
    first = token_in(delivered(server, work))
    send_offer(work.call(), offer=offer.number, to="orla@new.example")
    again = delivered(server, work)
    assert again["To"] == "orla@new.example" and token_in(again) != first
    assert read(Client.objects.get().email_ref) == "orla@new.example"
    assert first not in str(list(ClientLink.objects.values()))
    revoke_links(commission=offer.commission.number, link=getattr(find_link(first), "id", None), now=work.now)
    assert find_link(first) is None and find_link(token_in(again)) is not None


def test_without_an_address_it_is_asked_for_or_the_paper_is_handed_over(
    server: MailServer, work: Work, piece: Piece
):
    offer = drafted(work, piece)
    for to in ("", "orla at fenwick"):
        with pytest.raises(Invalid) as refused:
            send_offer(work.call(), offer=offer.number, to=to)
        assert refused.value.field == "to" and newest(offer).step == "draft"
    send_offer(work.call(), offer=offer.number, by_hand=True)
    assert sending_views(PaperSending.objects.all())[0]["mail"] == "handed over"
    dispatch_outbox(work.now)
    assert not server.mails and newest(offer).step == "issued"


def test_a_mail_that_never_arrives_is_told_and_one_that_is_late_is_tried_again(
    server: MailServer, work: Work, addressed: Piece
):
    offer = drafted(work, addressed)
    server.refuse_address = TO
    send_offer(work.call(), offer=offer.number)
    dispatch_outbox(work.now)
    told = sending_views(PaperSending.objects.all())[0]
    assert told["mail"] == "not sent" and told["trouble"].endswith("refused it: 550")
    assert not ClientLink.objects.exists()
    with pytest.raises(NotYet):
        follow_up(work.call(), offer=offer.number, words="Any questions?")
    server.refuse_address = ""
    send_offer(work.call(), offer=offer.number)
    assert delivered(server, work)["To"] == TO


def test_a_server_that_is_away_is_asked_again(server: MailServer, work: Work, addressed: Piece, settings):
    send_offer(work.call(), offer=drafted(work, addressed).number)
    settings.EMAIL_PORT, port = 1, settings.EMAIL_PORT
    dispatch_outbox(work.now)
    assert sending_views(PaperSending.objects.all())[0]["mail"] == "waiting"
    settings.EMAIL_PORT = port
    assert dispatch_outbox(work.now + FIRST_DELAY) == 1 and len(server.mails) == 1


def test_only_what_can_be_answered_is_sent(work: Work, addressed: Piece):
    offer = drafted(work, addressed)
    send_offer(work.call(), offer=offer.number)
    follow_up(work.call(), offer=offer.number, words="May we help?")
    rewrite_offer(work.call(), offer=offer.number, valid_days=1)
    send_offer(work.call(), offer=offer.number)
    work.go(days=3)
    for send in (send_offer, lambda call, **more: follow_up(call, words="May we help?", **more)):
        with pytest.raises(ShopError) as refused:
            send(work.call(), offer=offer.number)
        assert refused.value.field == "offer" and "expired" in str(refused.value)


def test_the_first_opening_is_kept_once(work: Work, addressed: Piece):
    send_offer(work.call(), offer=drafted(work, addressed).number)
    key = PaperSending.objects.get().id
    record_opening(work.call(), sending=key)
    first = PaperSending.objects.get().opened_at
    work.go(hours=5)
    record_opening(work.call(), sending=key)
    assert first and PaperSending.objects.get().opened_at == first
    assert Event.objects.filter(kind="paper_opened").count() == 1


def test_a_yes_is_confirmed_with_what_was_accepted(server: MailServer, work: Work, addressed: Piece):
    offer = drafted(work, addressed)
    send_offer(work.call(), offer=offer.number)
    accept(work, newest(offer), name="Orla")
    mail = delivered(server, work)
    assert mail["Subject"] == "Desk by the window: thank you for your order"
    assert "you accepted Q2026-0001 for your desk by the window" in text_of(mail)
    names = ["Q2026-0001.pdf", "confirmation-Q2026-0001.pdf"]
    assert [part.get_filename() for part in mail.iter_attachments()] == names
    assert Offer.objects.get().step == "accepted"
