"""An oak top in a shop with prices."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import LazySettings

from jobs.domain.workshop.commands import set_shop
from jobs.models import Piece
from tests.domain.quoting.offers import OAK, WALNUT
from tests.mailbox import MailServer
from tests.shop_fixtures import Work, a_client, a_commission, a_piece


@pytest.fixture
def piece(work: Work) -> Piece:
    """Return an oak top of a new commission, in a shop with prices."""
    rates = {
        "hourly_rate": "60", "overhead_pct": "10", "profit_pct": "20", "tax_pct": "19", "deposit_pct": "50",
        "lumber_prices": {OAK: "8", WALNUT: "14.50"}, "finish_prices": {"hard-wax-oil": "40"},
    }  # fmt: skip
    set_shop(work.call(), settings=rates)
    return a_piece(work.call(), a_commission(work.call(), a_client(work.call())), species=OAK)


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
