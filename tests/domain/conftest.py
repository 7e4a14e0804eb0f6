"""A shop with quick products and the short route, and somebody at work in it."""

import pytest

from tests.shop_fixtures import ROUTES, Work, an_owner, quick_sheets


@pytest.fixture
def work(db, settings):
    settings.ROUTES_DIR = ROUTES
    work = Work(an_owner())
    quick_sheets(work.call())
    return work
