"""A commission from the first word to delivery on a phone: nothing but taps, and typing into fields."""

from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from jobs.models import Commission, Event, Person
from tests.shop_fixtures import GOOD, PASSWORD
from tests.web.browser.conftest import open_page

STAGES_AT_MOST = 60


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict[str, Any], playwright: Any) -> dict[str, Any]:
    return {**browser_context_args, **playwright.devices["Pixel 7"]}


class Thumb:
    """What a thumb can do: tap what is visible, type into fields."""

    def __init__(self, screen: Page) -> None:
        self.screen = screen

    def tap(self, role: Any, name: str) -> None:
        self.screen.get_by_role(role, name=name).first.tap()

    def type(self, label: str, text: str) -> None:
        self.screen.get_by_label(label, exact=True).fill(text)

    def follow(self, there: Locator) -> None:
        """Tap it and wait for the page it leads to."""
        with self.screen.expect_navigation(wait_until="domcontentloaded"):
            there.tap()

    def measure(self) -> None:
        """Answer whatever the form asks: a good day's figures, yes, and reasons for overrides."""
        work = self.screen.locator("#work form").filter(has=self.screen.locator("button.go.full"))
        for gate in work.locator(".gate").all():
            for field in gate.locator("input:visible").all():
                self._answer(field, gate)

    def _answer(self, field: Locator, gate: Locator) -> None:
        name = field.get_attribute("name") or ""
        if name.startswith("override."):
            field.fill("shown in a hurry: the shop would wait")
        elif field.get_attribute("type") == "radio":
            if field.get_attribute("value") == "yes":
                gate.get_by_text("Yes", exact=True).tap()
        else:
            field.fill(GOOD[name.removeprefix("measured.")])


def sign_in(thumb: Thumb) -> None:
    open_page(thumb.screen, "/")
    thumb.type("Name", "owner")
    thumb.type("Password", PASSWORD)
    thumb.tap("button", "Sign in")
    for _step in range(2):
        thumb.tap("link", "Skip")
    thumb.tap("link", "To the bench")


def take_down(thumb: Thumb) -> None:
    thumb.tap("link", "New commission")
    thumb.type("Name", "Orla Fenwick")
    thumb.type("What it is", "Side table")
    thumb.type("Species", "white oak")
    thumb.screen.get_by_text("Route, count and cut").tap()
    thumb.screen.get_by_label("Route", exact=True).select_option(label="Small furniture")
    thumb.screen.get_by_label("Finish, face", exact=True).select_option(label="Water-borne polyurethane")
    thumb.follow(thumb.screen.get_by_role("button", name="Open the commission"))


def end_the_wait(thumb: Thumb) -> None:
    """End the wait of the stock with the reason that it settled in the shed before."""
    thumb.follow(thumb.screen.get_by_role("link", name="End this wait").first)
    thumb.type("Why it ends now", "settled in the shed before")
    thumb.follow(thumb.screen.get_by_role("button", name="End this wait"))


def do_what_comes_next(thumb: Thumb) -> str:
    """Tap the big button of the commission and do what it leads to; return its words."""
    screen = thumb.screen
    says = screen.locator("a.next b").first.inner_text()
    thumb.follow(screen.locator("a.next").first)
    if screen.locator("#work").count() == 0:  # the office's turn: accept it, issue a paper
        thumb.follow(screen.locator("main form button").last)
        return says
    for press in ("Start", "Finish"):
        button = screen.locator("#work").get_by_role("button", name=press, exact=True)
        if button.count():
            thumb.measure()
            thumb.follow(button)
    if screen.locator("#work").count():
        thumb.follow(screen.locator("p.over a").first)
    return says


@pytest.mark.long
def test_from_a_new_commission_to_delivered_by_taps_alone(watched: Page, owner: Person):
    thumb = Thumb(watched)
    sign_in(thumb)
    take_down(thumb)
    told: list[str] = []
    while "Delivered" not in told:
        assert len(told) < STAGES_AT_MOST, told
        if watched.locator("a.next").count() == 0:
            end_the_wait(thumb)
        told.append(do_what_comes_next(thumb))
    expect(watched.locator(".chip").first).to_have_text("Delivered")
    commission = Commission.objects.get()
    assert commission.step == Commission.Step.DELIVERED
    left = {s.key for s in commission.pieces.get().stages.all() if s.step == "planned"}
    assert left == {"paid", "close"}
    assert {e.actor for e in Event.objects.exclude(kind="stage_started")} <= {owner.id, "system"}
