"""From a client's words to a calculated job, every field and tap counted."""

from typing import Any

from playwright.sync_api import Page, expect

from jobs.models import Client, Commission, Event
from tests.shop_fixtures import Work
from tests.web.browser.conftest import barriers, open_page, too_wide

MOST = 12


class Hand:
    """Somebody at the phone: counts every field filled in and everything tapped."""

    def __init__(self, screen: Page) -> None:
        self.screen, self.count = screen, 0

    def tap(self, role: Any, name: str) -> None:
        self.count += 1
        self.screen.get_by_role(role, name=name).click()

    def fill(self, label: str, text: str) -> None:
        self.count += 1
        self.screen.get_by_label(label, exact=True).fill(text)

    def pick(self, label: str, words: str) -> None:
        self.count += 1
        self.screen.get_by_label(label, exact=True).select_option(label=words)


def to_the_form(screen: Page) -> Hand:
    open_page(screen, "/")
    hand = Hand(screen)
    hand.tap("link", "Commissions")
    hand.tap("link", "New commission")
    return hand


def sizes(hand: Hand) -> None:
    hand.fill("Length", "7'")
    hand.fill("Width", "927.1 mm")
    hand.fill("Thickness", "1 3/4")


def test_the_first_commission_of_a_shop_within_twelve_fields_and_taps(screen: Page):
    screen.set_viewport_size({"width": 360, "height": 760})
    hand = to_the_form(screen)
    hand.fill("Name", "Orla Fenwick")
    hand.fill("What it is", "Table for the loft")
    sizes(hand)
    expect(screen.locator("#live")).to_contain_text("species is typed")
    hand.fill("Species", "white oak")
    hand.pick("Finish, face", "Water-borne polyurethane")
    # 927.1 mm are 36 1/2 in; from 10/4 boards, by the board rule: 84 x 36.5 / 144 x 2 1/2 = 53.23 board feet
    expect(screen.locator("#live")).to_contain_text("53.23 board ft")
    expect(screen.locator("#live")).to_contain_text("lb")
    expect(screen.locator("#live")).to_contain_text("Price")
    assert barriers(screen) == [] and too_wide(screen) <= 0
    hand.tap("button", "Open the commission")
    expect(screen.get_by_role("heading", name="Table for the loft").first).to_be_visible()
    assert hand.count <= MOST
    piece = Commission.objects.get().pieces.get()
    assert piece.inputs["species"].startswith("white oak") and "result" in piece.computed["lumber"]


def test_what_the_shop_used_last_stands_there_and_a_known_client_is_not_made_again(screen: Page, work: Work):
    before = work.accepted(species="walnut", finish_face="oil-varnish").commission.client
    hand = to_the_form(screen)
    expect(screen.get_by_label("Species")).to_have_value("black walnut")
    expect(screen.get_by_label("Finish, face", exact=True)).to_have_value("oil-varnish")
    hand.fill("Name", screen.locator("#client-names option").first.get_attribute("value") or "")
    hand.fill("What it is", "Bench")
    sizes(hand)
    hand.tap("button", "Open the commission")
    expect(screen.get_by_role("heading", name="Bench").first).to_be_visible()
    assert hand.count <= MOST - 2
    assert [c.client for c in Commission.objects.all()] == [before, before] and Client.objects.count() == 1


def test_a_refusal_loses_nothing_that_was_typed(screen: Page):
    hand = to_the_form(screen)
    hand.fill("Name", "Orla Fenwick")
    hand.fill("What it is", "Table")
    sizes(hand)
    hand.fill("Species", "moon wood")
    expect(screen.locator("#live")).to_contain_text("moon wood")
    events = Event.objects.count()
    hand.tap("button", "Open the commission")
    expect(screen.get_by_role("alert")).to_be_focused()
    for label, typed in (("Name", "Orla Fenwick"), ("Width", "927.1 mm"), ("Species", "moon wood")):
        expect(screen.get_by_label(label, exact=True)).to_have_value(typed)
    assert Event.objects.count() == events and not Client.objects.exists()
