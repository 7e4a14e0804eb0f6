"""The plan through a real browser."""

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from jobs.domain.planning.publishing import current, publish
from jobs.models import Piece
from tests.web.browser.conftest import open_page, too_wide

pytestmark = pytest.mark.takes(5)


def test_work_of_the_week_is_pinned_to_a_day_and_stands_there(screen: Page, piece: Piece):
    now = timezone.now()
    assert publish(now, seconds=0.2)
    plan = current()
    assert plan is not None
    first = plan.work[0]  # on a working day: so is the day a week later
    day = timezone.localdate(first.begins) + timedelta(days=7)
    at = f"/plan/work/{piece.number}/{first.stage}/"
    open_page(screen, f"/plan/?week={timezone.localdate(first.begins)}")
    screen.locator(f'a[href="{at}"]:visible').first.click()
    screen.get_by_label("Do it on").fill(day.isoformat())
    screen.get_by_role("button", name="Pin it").click()
    expect(screen.get_by_text("It is pinned. The plan follows.")).to_be_visible()
    assert publish(now + timedelta(minutes=3), seconds=0.2)
    open_page(screen, f"/plan/?week={day}")
    block = screen.locator("li.blk").filter(has=screen.locator(f'a[href="{at}"]')).first
    expect(block.get_by_role("img", name="pinned")).to_be_visible()
    assert too_wide(screen) <= 0
    plan = current()
    assert plan is not None
    assert {timezone.localdate(one.begins) for one in plan.work if one.stage == first.stage} == {day}
