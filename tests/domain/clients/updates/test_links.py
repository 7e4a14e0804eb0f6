"""The link in a mail: its own, kept as a hash, ended alone or with all."""

import re

import pytest
from django.apps import apps
from django.test import Client as Browser

from jobs.core.errors import NotFound
from jobs.domain.clients.erasure_commands import forget_client
from jobs.domain.clients.portal_links import find_link, links_of, make_link, revoke_links
from jobs.domain.commissions.commissions import move_commission
from jobs.models import ClientLink, ClientUpdate, OutboxMessage
from jobs.worker.outbox import FIRST_DELAY, dispatch_outbox
from tests.domain.clients.updates.news import TO, tell
from tests.mailbox import html_of, text_of

pytestmark = pytest.mark.django_db


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
