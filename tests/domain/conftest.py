"""A shop with quick products and the short route, and somebody at work in it."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import LazySettings

from tests.mailbox import MailServer
from tests.shop_fixtures import ROUTES, Work, an_owner, quick_sheets


@pytest.fixture
def work(db, settings):
    settings.ROUTES_DIR = ROUTES
    work = Work(an_owner())
    quick_sheets(work.call())
    return work


@pytest.fixture
def server(settings: LazySettings, tmp_path: Path) -> Iterator[MailServer]:
    """Return a mail server, in a shop with its own folder for files."""
    settings.FILES_DIR, settings.DATA_DIR = tmp_path / "files", tmp_path
    settings.FILES_DIR.mkdir()
    with MailServer() as server:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
        settings.DEFAULT_FROM_EMAIL = "shop@lindenau.example"
        yield server
