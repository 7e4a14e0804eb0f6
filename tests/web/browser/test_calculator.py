"""The calculator in a browser: it answers while one types, and keeps what is typed."""

import pytest
from playwright.sync_api import Page, expect

from calcs.catalogue import CALCULATIONS
from tests.web.browser.conftest import barriers, open_page, too_wide


def test_it_answers_while_one_types_and_keeps_what_is_typed(screen: Page):
    open_page(screen, "/calculator/weight/")
    before = screen.locator("#answer").inner_text()
    width = screen.get_by_label("Finished width")
    width.press("End")
    width.press_sequentially(" yards", delay=30)
    expect(screen.locator("#answer")).not_to_have_text(before, use_inner_text=True)
    expect(width).to_be_focused()
    expect(width).to_have_value('32" yards')
    expect(screen.locator("#wrong_width")).to_contain_text("Finished width")
    width.fill("32 1/2")
    expect(screen.locator("#wrong_width")).to_have_text("")
    expect(screen.locator("#answer")).to_contain_text("lb")
    expect(width).to_have_value("32 1/2")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_layout_is_drawn_without_a_barrier_on_a_phone(screen: Page, scheme: str):
    screen.emulate_media(color_scheme=scheme)
    screen.set_viewport_size({"width": 360, "height": 760})
    for path in ("/calculator/", "/calculator/layout/"):
        open_page(screen, path)
        assert barriers(screen) == [] and too_wide(screen) <= 0
    expect(screen.locator("#answer svg")).to_be_visible()


@pytest.mark.long
def test_no_calculation_has_a_barrier_or_runs_over_the_side(screen: Page):
    found = {}
    screen.set_viewport_size({"width": 360, "height": 760})
    for name in CALCULATIONS:
        open_page(screen, f"/calculator/{name}/")
        screen.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
        if wrong := [*barriers(screen), *([f"too wide by {over}"] if (over := too_wide(screen)) > 0 else [])]:
            found[name] = wrong
    assert found == {}
