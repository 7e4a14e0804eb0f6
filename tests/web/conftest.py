"""People at their pages, and work to do."""

from datetime import timedelta

import pytest
from django.core.cache import cache
from django.utils import timezone

from jobs.models import Person, Piece
from tests.shop_fixtures import QUICK, Work, quick_sheets
from tests.web.pages import Pages

BEGUN = timezone.now() - timedelta(days=13)
"""Not quite two weeks ago, so that no client news is due yet; the same in every test, see ``kept_work``."""


@pytest.fixture(autouse=True)
def _no_counted_tries() -> None:
    cache.clear()


@pytest.fixture
def pages(owner: Person) -> Pages:
    """Return the owner's pages."""
    return Pages(owner)


@pytest.fixture
def maker_pages(maker: Person) -> Pages:
    return Pages(maker)


@pytest.fixture
def work(owner: Person) -> Work:
    """Return the owner at work."""
    return Work(by=owner, now=BEGUN)


@pytest.fixture
def piece(work: Work) -> Piece:
    """Return a top of an accepted commission, with products whose waits take seconds."""
    quick_sheets(work.call())
    return work.accepted(**QUICK)


@pytest.fixture
def slow_piece(work: Work) -> Piece:
    """Return a top of an accepted commission with the class defaults: its waits take hours and days."""
    return work.accepted(width="24")


def at_the_glue(work: Work, piece: Piece) -> None:
    """Do all stages before the glue-up, with edges jointed four hours ago; the clock is at now."""
    work.do_until(piece, "final-mill")
    work.now = BEGUN + timedelta(days=12, hours=20)
    work.do(piece, "rip", "layout", "joinery", "dry-fit")
    work.now = timezone.now()


def in_clamps(work: Work, piece: Piece, *, minutes: float) -> None:
    """Glue up so many minutes ago."""
    at_the_glue(work, piece)
    work.now = timezone.now() - timedelta(minutes=minutes + 10)  # the glue-up itself takes ten
    work.do(piece, "glue-up")
    work.now = timezone.now()
