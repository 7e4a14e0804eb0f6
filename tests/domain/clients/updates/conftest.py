"""An accepted piece whose client has an address, and a mail server."""

import pytest

from jobs.domain.clients.commands import change_client
from jobs.domain.workshop.commands import set_shop
from tests.domain.clients.updates.news import TO
from tests.mailbox import MailServer
from tests.shop_fixtures import Work, an_owner


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
