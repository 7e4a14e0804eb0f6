"""Every page on a phone and a laptop, in light and dark: nothing to the side, no barrier that axe knows."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page

from jobs.models import Client, Person, Piece, Wait
from tests.shop_fixtures import Work, a_price
from tests.web.browser.conftest import barriers, open_page, too_wide
from tests.web.conftest import in_clamps

PHONES = [360, 412]


def paths(piece: Piece, owner: Person) -> Iterator[str]:
    number = piece.commission.number
    yield from ("/", "/commissions/", "/commissions/new/", "/clients/", "/clients/new/", "/more/", "/me/")
    yield "/me/reminders/"
    yield from ("/people/", "/people/new/", f"/people/{owner.id}/", "/shop/", "/sheets/", "/sheets/glue/pva/")
    yield from (
        "/sheets/finish/shellac/new/",
        "/log/",
        "/lost-mail/",
        "/engine-room/",
        "/nothing-here/",
        f"/clients/{Client.objects.get().id}/",
    )
    for name in (
        "",
        "change/",
        "move/cancelled/",
        "pieces/new/",
        "price/",
        "payment/",
        "checklist/",
        "invoice/",
    ):
        yield f"/commissions/{number}/{name}"
    for key in ("survey", "glue-up", "clamps-off", "scrape", "seal-1", "paid"):
        yield f"/pieces/{piece.number}/stages/{key}/"
    yield from (f"/pieces/{piece.number}/change/", f"/pieces/{piece.number}/remove/")
    yield f"/waits/{Wait.objects.filter(step='running').first().id}/end/"


@pytest.fixture
def glued(work: Work, owner: Person) -> Piece:
    piece = work.accepted(
        stiffeners="yes", label="A top with a very long name that has to find room on a small screen"
    )
    a_price(work.call(), piece.commission)
    in_clamps(work, piece, minutes=40)
    return piece


@pytest.mark.long
def test_no_page_runs_over_the_side_of_a_phone(screen: Page, glued: Piece, owner: Person):
    wide = {}
    for path in paths(glued, owner):
        open_page(screen, path)
        screen.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
        for width in PHONES:
            screen.set_viewport_size({"width": width, "height": 800})
            if over := too_wide(screen):
                wide[path, width] = over
    assert wide == {}


@pytest.mark.long
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_page_has_a_barrier(screen: Page, glued: Piece, owner: Person, scheme: str):
    screen.emulate_media(color_scheme=scheme, reduced_motion="reduce")
    found = {}
    for path in paths(glued, owner):
        open_page(screen, path)
        if wrong := barriers(screen):
            found[path] = wrong
    assert found == {}


def test_axe_finds_a_field_without_its_label(screen: Page):
    open_page(screen, "/clients/new/")
    assert barriers(screen) == []
    screen.evaluate("document.querySelector('label').remove()")
    assert [wrong.split(":")[0] for wrong in barriers(screen)] == ["label"]


@pytest.mark.long
def test_what_is_pressed_is_large_enough_for_a_thumb(screen: Page, glued: Piece, owner: Person):
    small = {}
    screen.set_viewport_size({"width": 412, "height": 800})
    for path in paths(glued, owner):
        open_page(screen, path)
        for button in screen.locator("button:visible, a.button:visible, a.next:visible, nav a:visible").all():
            box = button.bounding_box()
            if box and box["height"] < 48:
                small[path, button.text_content()] = box["height"]
    assert small == {}


def test_by_keyboard_the_first_step_leads_to_the_content(screen: Page):
    open_page(screen, "/")
    screen.keyboard.press("Tab")
    assert screen.evaluate("document.activeElement.textContent") == "To the content"
    screen.keyboard.press("Enter")
    assert screen.url.endswith("#main")
