"""From a client's words to a calculated job, every field and tap counted."""

from pathlib import Path
from typing import Any

from PIL import Image
from playwright.sync_api import Page, expect

from jobs.models import Client, Commission, Event, Picture
from tests.shop_fixtures import Work
from tests.web.browser.conftest import barriers, open_page, too_wide, wait_until

MOST_TYPED, MOST_TAPS = 6, 8


class Hand:
    """Somebody at the phone: counts every field filled in, and every tap, into a field too."""

    def __init__(self, screen: Page) -> None:
        self.screen, self.typed, self.taps = screen, 0, 0

    def tap(self, role: Any, name: str) -> None:
        self.taps += 1
        self.screen.get_by_role(role, name=name).click()

    def fill(self, label: str, text: str) -> None:
        self.typed += 1
        field = self.screen.get_by_label(label, exact=True)
        if not field.evaluate("field => field === document.activeElement"):
            self.taps += 1
            field.click()
        field.fill(text)


def to_the_form(screen: Page) -> Hand:
    open_page(screen, "/")
    hand = Hand(screen)
    hand.taps += 1
    screen.get_by_role("banner").get_by_role("link", name="New commission").click()
    expect(screen.get_by_label("Client", exact=True)).to_be_focused()
    return hand


def sizes(hand: Hand) -> None:
    hand.fill("Length", "7'")
    hand.fill("Width", "927.1 mm")
    hand.fill("Thickness", "1 3/4")


def test_the_first_commission_of_a_shop_within_six_fields_and_eight_taps(screen: Page):
    screen.set_viewport_size({"width": 360, "height": 760})
    hand = to_the_form(screen)
    hand.fill("Client", "Orla Fenwick")
    hand.fill("What they ask for", "Table for the loft, in oak")
    sizes(hand)
    expect(screen.locator("#live")).to_contain_text("wood is typed")
    hand.fill("Wood", "white oak")
    # 927.1 mm are 36 1/2 in; from 10/4 boards, by the board rule: 84 x 36.5 / 144 x 2 1/2 = 53.23 board feet
    expect(screen.locator("#live")).to_contain_text("53.23 board ft")
    expect(screen.locator("#live")).to_contain_text("lb")
    expect(screen.locator("#live")).to_contain_text("Materials")
    assert barriers(screen) == [] and too_wide(screen) <= 0
    hand.tap("button", "Open the commission")
    expect(screen.get_by_role("heading", name="Table for the loft").first).to_be_visible()
    assert hand.typed <= MOST_TYPED and hand.taps <= MOST_TAPS
    piece = Commission.objects.get().pieces.get()
    assert piece.inputs["species"].startswith("white oak") and "result" in piece.computed["lumber"]


def test_what_the_shop_used_last_stands_there_and_a_known_client_is_not_made_again(screen: Page, work: Work):
    before = work.accepted(species="walnut", finish_face="oil-varnish").commission.client
    hand = to_the_form(screen)
    expect(screen.get_by_label("Wood", exact=True)).to_have_value("black walnut")
    expect(screen.locator("#id_finish_face")).to_have_value("oil-varnish")
    hand.fill("Client", screen.locator("#client-names option").first.get_attribute("value") or "")
    hand.fill("What they ask for", "Bench")
    sizes(hand)
    hand.tap("button", "Open the commission")
    expect(screen.get_by_role("heading", name="Bench").first).to_be_visible()
    assert hand.typed < MOST_TYPED and hand.taps < MOST_TAPS
    assert [c.client for c in Commission.objects.all()] == [before, before] and Client.objects.count() == 1


def test_a_refusal_loses_nothing_that_was_typed(screen: Page):
    hand = to_the_form(screen)
    hand.fill("Client", "Orla Fenwick")
    hand.fill("What they ask for", "Table")
    sizes(hand)
    hand.fill("Wood", "moon wood")
    expect(screen.locator("#live")).to_contain_text("moon wood")
    events = Event.objects.count()
    hand.tap("button", "Open the commission")
    expect(screen.get_by_role("alert")).to_be_focused()
    for label, typed in (("Client", "Orla Fenwick"), ("Width", "927.1 mm"), ("Wood", "moon wood")):
        expect(screen.get_by_label(label, exact=True)).to_have_value(typed)
    assert Event.objects.count() == events and not Client.objects.exists()


def test_pictures_are_shrunk_on_the_phone_and_kept_with_the_enquiry(screen: Page, tmp_path: Path):
    for name in ("room", "sketch"):
        Image.effect_noise((1800, 1200), 90).convert("RGB").save(tmp_path / f"{name}.jpg", quality=95)
    hand = to_the_form(screen)
    hand.fill("Client", "Orla Fenwick")
    hand.fill("What they ask for", "Shelf for the hall")
    screen.get_by_text("Budget, day, pictures").click()
    chosen = screen.get_by_label("Pictures", exact=True)
    chosen.set_input_files([tmp_path / "room.jpg", tmp_path / "sketch.jpg"])
    largest = "field => Math.max(...[...field.files].map(file => file.size))"
    before = (tmp_path / "room.jpg").stat().st_size
    wait_until(lambda: chosen.evaluate(largest) < before / 2)
    assert chosen.evaluate("field => field.files.length") == 2
    hand.tap("button", "Open the commission")
    expect(screen.get_by_role("heading", name="Shelf for the hall").first).to_be_visible()
    assert Picture.objects.filter(commission=Commission.objects.get().number).count() == 2
