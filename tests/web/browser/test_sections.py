"""The demo's places and the sections of its commissions on a phone: none is longer than three screens."""

import pytest
from django.utils import timezone
from playwright.sync_api import Page, ViewportSize

from jobs.management.demo import load_story, play
from jobs.models import Commission, Person
from jobs.worker.outbox import dispatch_outbox
from tests.web.browser.conftest import open_page, too_wide

pytestmark = pytest.mark.takes(20)
PHONE = ViewportSize(width=390, height=844)
MOST = 3 * PHONE["height"]


def test_no_place_and_no_section_is_longer_than_three_screens(screen: Page, owner: Person):
    now = timezone.now()
    play(load_story(), now=now, people={"owner": owner.id, "sam": owner.id})
    while dispatch_outbox(now):
        pass
    screen.set_viewport_size(PHONE)
    long = {}
    for commission in Commission.objects.filter(step__in=("quoted", "in the shop", "delivered")):
        for section in ("", "piece/", "money/", "client/", "history/"):
            path = f"/commissions/{commission.number}/{section}"
            open_page(screen, path)
            height = screen.evaluate("document.documentElement.scrollHeight")
            if height > MOST or too_wide(screen):
                long[path] = height
    for path in ("/", "/plan/", "/office/", "/stock/", "/shop/", "/me/", "/commissions/new/", "/climate/"):
        open_page(screen, path)
        height = screen.evaluate("document.documentElement.scrollHeight")
        if height > MOST or too_wide(screen):
            long[path] = height
    assert long == {}
