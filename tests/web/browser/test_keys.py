"""Keys of the laptop: search from anywhere, the places, the rows, the list of keys."""

from playwright.sync_api import Page, expect

from jobs.models import Piece
from tests.web.browser.conftest import barriers, open_page


def test_search_and_places_are_a_key_away_and_rows_are_walked(screen: Page, piece: Piece):
    open_page(screen, "/")
    screen.keyboard.press("/")
    expect(screen.locator("#q")).to_be_focused()
    screen.keyboard.type("desk")
    expect(screen.locator("#found a.line").first).to_be_visible()
    assert barriers(screen) == []
    screen.locator("#q").blur()
    screen.keyboard.press("j")
    expect(screen.locator("#found a.line").first).to_be_focused()
    screen.keyboard.press("Enter")
    screen.wait_for_url("**/commissions/**")
    screen.keyboard.press("g")
    screen.keyboard.press("b")
    expect(screen.locator("#first")).to_be_visible()
    screen.keyboard.press("?")
    expect(screen.get_by_role("dialog", name="Keys")).to_be_visible()
    screen.keyboard.press("Escape")
    expect(screen.get_by_role("dialog", name="Keys")).to_be_hidden()


def test_keys_do_nothing_while_somebody_types(screen: Page, piece: Piece):
    open_page(screen, "/search/")
    screen.locator("#q").press_sequentially("g b?j/")
    expect(screen.locator("#q")).to_have_value("g b?j/")
    expect(screen.get_by_role("dialog", name="Keys")).to_be_hidden()
