"""Every page on a phone and a laptop, in light and dark: no sideways scrolling, no barrier that axe knows."""

import os
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Page, ViewportSize

from jobs.models import Person
from tests.web.browser.conftest import barriers, open_page, sign_in, too_wide
from tests.web.every_page import a_whole_shop, pages

pytestmark = pytest.mark.takes(60)

PHONE, LAPTOP = ViewportSize(width=360, height=760), ViewportSize(width=1280, height=800)
TWICE_AS_LARGE = ViewportSize(width=640, height=400)
"""The room on a laptop when everything is shown at 200 %."""
THUMB = 48
PRESSED = "button:not(.away), a.go, a.also, nav a, .choices label, .check label"
SMALL = """([what, least]) => [...document.querySelectorAll(what)]
    .map(e => [e.innerText.trim(), Math.round(e.getBoundingClientRect().height)])
    .filter(([_, height]) => height && height < least)"""

AT_THE_FOOT = "@media (max-width: 47.9rem) { body { position: relative } .head nav { position: absolute } }"
"""For tall pictures: fixed on the screen, the links of a phone would lie across them."""


@pytest.fixture
def shots() -> Path | None:
    """Return the folder for pictures of the pages, where somebody asked for them."""
    if not (asked := os.environ.get("SHOP_TEST_SHOTS")):
        return None
    folder = Path(asked)
    folder.mkdir(parents=True, exist_ok=True)
    return folder


@pytest.fixture
def shop(watched: Page) -> Person:
    """Return the owner of a shop in which every page has something to show, signed in."""
    owner = a_whole_shop().by
    sign_in(watched, owner)
    return owner


def shoot(screen: Page, shots: Path | None, name: str, device: str) -> None:
    if shots is None:
        return
    screen.screenshot(
        path=shots / f"{name}-{device}.jpg",
        type="jpeg",
        quality=70,
        full_page=True,
        scale="css",
        style=AT_THE_FOOT,
    )


def everything(owner: Person) -> list[tuple[str, str]]:
    """Return every page with a name for its picture; sign-in comes last, signed out."""
    named = [
        (f"{name}-{n}" if n else name, path)
        for name, paths in pages(owner).items()
        for n, path in enumerate(paths)
    ]
    return sorted([*named, ("no-such-page", "/nothing-here/")], key=lambda page: page[0] == "sign-in")


def opened(screen: Page, name: str, path: str) -> None:
    if name == "sign-in":
        screen.context.clear_cookies()
    open_page(screen, path)


def show(screen: Page, size: ViewportSize, scheme: Literal["light", "dark"]) -> None:
    screen.emulate_media(color_scheme=scheme, reduced_motion="reduce")
    screen.set_viewport_size(size)


def over_the_side(screen: Page) -> list[str]:
    over = too_wide(screen)
    return [f"{over} px over the side at {screen.viewport_size}"] if over > 0 else []


def looked_over(screen: Page) -> list[str]:
    return [*barriers(screen), *over_the_side(screen)]


def unfold(screen: Page) -> None:
    """Open all that is folded; what sticks to the foot of the screen lies under it, as after scrolling."""
    screen.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
    screen.evaluate("for (const s of document.querySelectorAll('.stick')) s.style.position = 'static'")


@pytest.mark.parametrize("first", [0, *(pytest.param(n, marks=pytest.mark.long) for n in (1, 2, 3))])
def test_every_page_on_a_phone(watched: Page, shop: Person, shots: Path | None, first: int):
    """Large enough for a finger, and readable aloud; pictures are kept where somebody asked.

    The usual run looks at every fourth page, the long one at the others too.
    """
    wrong: dict[str, object] = {}
    show(watched, PHONE, "light")
    for name, path in list(everything(shop))[first::4]:
        opened(watched, name, path)
        shoot(watched, shots, name, "phone")
        unfold(watched)
        if found := [*looked_over(watched), *watched.evaluate(SMALL, [PRESSED, THUMB])]:
            wrong[path] = found
    assert wrong == {}, "\n".join(f"{path}: {found}" for path, found in wrong.items())


@pytest.mark.long
def test_every_page_on_a_laptop_at_twice_the_size_and_in_the_dark(
    watched: Page, shop: Person, shots: Path | None
):
    wrong: dict[str, object] = {}
    for name, path in everything(shop):
        show(watched, TWICE_AS_LARGE, "light")
        opened(watched, name, path)
        unfold(watched)
        found = over_the_side(watched)
        show(watched, LAPTOP, "dark")
        found += looked_over(watched)
        shoot(watched, shots, name, "laptop")
        if found:
            wrong[path] = found
    assert wrong == {}, "\n".join(f"{path}: {found}" for path, found in wrong.items())


def test_axe_finds_a_field_without_its_label(screen: Page):
    open_page(screen, "/clients/new/")
    assert barriers(screen) == []
    screen.evaluate("document.querySelector('label').remove()")
    assert [wrong.split(":")[0] for wrong in barriers(screen)] == ["label"]


def test_by_keyboard_the_first_step_leads_to_the_content(screen: Page):
    open_page(screen, "/")
    screen.keyboard.press("Tab")
    assert screen.evaluate("document.activeElement.textContent") == "To the content"
    screen.keyboard.press("Enter")
    assert screen.url.endswith("#main")
