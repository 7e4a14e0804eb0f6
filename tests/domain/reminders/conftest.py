"""A shop whose glue-up starts two waits, and a mail folder that really fills.

After the glue-up at ``bench.now``: squeeze-out window from 20 to 60 min (so the louder reminder comes 10 min
before it closes, a quarter of the 40), clamps off after 4 h.
"""

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from jobs.domain.workshop.commands import set_sheet, set_shop
from jobs.models import Piece, Wait
from tests.shop_fixtures import NOON, QUICK, QUICK_GLUE, Work, an_owner, quick_sheets

MINUTE = timedelta(minutes=1)
HOUR = timedelta(hours=1)
HOUR_GLUE: dict[str, Any] = QUICK_GLUE | {
    "name": "Hour glue", "open_s": 600, "closed_s": 1200, "scrape_from_s": 1200, "scrape_to_s": 3600,
    "unclamp_s": 14400, "machine_s": 86400, "surface_s": 259200, "full_s": 604800,
}  # fmt: skip


@pytest.fixture
def mail_folder(settings: Any, tmp_path: Path) -> Path:
    folder = tmp_path / "mail"
    folder.mkdir()
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    settings.EMAIL_FILE_PATH = str(folder)
    settings.PUBLIC_URL = "https://shop.example"
    return folder


class Bench(Work):
    """The owner at work; ``glued`` is when the newest glue-up was finished."""

    glued: datetime = NOON

    def furnish(self) -> None:
        set_shop(self.call(), settings={"tell_client_days": 0})
        quick_sheets(self.call())
        set_sheet(self.call(), kind="glue", key="hour-glue", data=HOUR_GLUE)

    def glue_up(self, **asked: Any) -> Piece:
        """Return a piece of a new commission, driven until it is in clamps."""
        piece = self.accepted(**{**QUICK, "glue": "hour-glue", **asked})
        self.do_until(piece, "glue-up")
        self.glued = self.now
        return piece

    def wait(self, piece: Piece, kind: str) -> Wait:
        return Wait.objects.get(stage__piece__number=piece.number, kind=kind, step=Wait.Step.RUNNING)


@pytest.fixture
def new_bench() -> Callable[[], Bench]:
    """Return a function that makes the bench inside a test that chose its database."""

    def make() -> Bench:
        bench = Bench(an_owner(email="ines@shop.example", name="Ines"))
        bench.once("furnished", "", bench.furnish)
        return bench

    return make


@pytest.fixture
def bench(db: None, mail_folder: Path, new_bench: Callable[[], Bench]) -> Bench:
    return new_bench()
