"""A stage is one card on a phone: under two screens, one button, what is rare behind the dots."""

import pytest
from playwright.sync_api import Page, expect

from jobs.models import Piece
from tests.shop_fixtures import QUICK, Work, good, quick_sheets, stage_of
from tests.web.browser.conftest import barriers, open_page, too_wide

pytestmark = pytest.mark.takes(14)

SCREEN = {"width": 390, "height": 844}
TWO_SCREENS = 2 * SCREEN["height"]
LONG, OTHERS = pytest.mark.long, ("survey", "rough-mill", "rip", "seal-1")
"""The usual run measures their cards in the whole order, before they are worked."""


@pytest.fixture
def phone(screen: Page) -> Page:
    screen.set_viewport_size(SCREEN)  # type: ignore[arg-type]
    return screen


@pytest.fixture
def piece(work: Work) -> Piece:
    quick_sheets(work.call())
    return work.accepted(**QUICK)


@pytest.mark.parametrize("key", ["glue-up", "deliver", *(pytest.param(key, marks=LONG) for key in OTHERS)])
def test_it_is_under_two_screens_before_and_while_it_is_worked(
    phone: Page, work: Work, piece: Piece, key: str
):
    before = piece.stages.filter(position__lt=stage_of(piece, key).position).order_by("-position")
    if last := next((stage for stage in before if not stage.spec["passive"]), None):
        work.do_until(piece, last.key)
    work.wait_for(piece, key)
    for step in ("before", "under way"):
        if step == "under way":
            passed = {"checklist_issued": "the client collects"} if key == "deliver" else {}
            work.start(piece, key, measured=good(piece, key, "start"), override=passed)
        open_page(phone, f"/pieces/{piece.number}/stages/{key}/")
        assert phone.evaluate("document.documentElement.scrollHeight") <= TWO_SCREENS, step
        assert too_wide(phone) <= 0 and phone.locator("main .go, .stick .go").count() == 1


def test_what_is_rare_lies_behind_the_dots(phone: Page, piece: Piece):
    open_page(phone, f"/pieces/{piece.number}/stages/survey/")
    skip = phone.get_by_text("It began earlier")
    expect(skip).to_be_hidden()
    phone.locator(".more > summary").press("Enter")
    expect(skip).to_be_visible()
    assert barriers(phone) == []


def test_done_is_one_tap_and_undo_another(phone: Page, piece: Piece):
    open_page(phone, f"/pieces/{piece.number}/stages/survey/")
    for tile in phone.locator("#work .tick").all():
        tile.click()
    phone.locator("#acts").get_by_role("button", name="Done", exact=True).click()
    expect(phone.get_by_text("How long did it take?")).to_be_visible()
    phone.get_by_role("button", name="1 h", exact=True).click()
    expect(phone.get_by_text("its time is kept.")).to_be_visible()
    assert stage_of(piece, "survey").minutes == 60


@pytest.mark.parametrize("view", ["client", "glue-up"])
def test_a_drawing_fits_the_width_of_a_phone_and_can_be_pinched(phone: Page, piece: Piece, view: str):
    open_page(phone, f"/pieces/{piece.number}/drawings/{view}/")
    drawn = phone.locator("svg.drawn").bounding_box()
    assert drawn and 320 <= drawn["width"] <= SCREEN["width"]
    assert too_wide(phone) <= 0 and barriers(phone) == []
    zoom = phone.locator("meta[name=viewport]").get_attribute("content") or ""
    assert "user-scalable" not in zoom and "maximum-scale" not in zoom
    touch = phone.locator("figure.drawing").evaluate("each => getComputedStyle(each).touchAction")
    assert touch == "manipulation"  # pans and pinches
