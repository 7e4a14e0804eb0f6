"""A quote on a phone: readable without sideways scrolling, and no barrier that axe knows."""

from decimal import Decimal

from playwright.sync_api import Page, expect

from jobs.domain.billing.prices import Line
from jobs.domain.clients.portal_links import make_mailed_link
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.quotes import draft_quote
from jobs.domain.quoting.sending import send_offer
from jobs.domain.workshop.commands import set_shop
from jobs.models import Offer, PaperSending
from jobs.web.kit.formatting import number_words
from tests.shop_fixtures import Work, a_client, a_commission, a_piece
from tests.web.browser.conftest import barriers, open_page, too_wide


def test_a_quote_is_written_and_answered_on_a_phone(screen: Page, work: Work):
    commission = a_commission(work.call(), a_client(work.call()))
    piece = a_piece(work.call(), commission)
    number = commission.number
    set_shop(work.call(), settings={"hourly_rate": "60", "disc_price": "0.90", "overhead_pct": "10"})
    pages = [f"/commissions/{number}/quote/", f"/offers/{number}-Q1/", f"/offers/{number}-Q1/write/"]
    screen.set_viewport_size({"width": 360, "height": 780})
    open_page(screen, pages[0])
    assert (too_wide(screen), barriers(screen)) == (0, [])
    other = Alternative(piece=piece.number, species="cherry", difference=Decimal("-120.50"))
    draft_quote(work.call(), commission=number, alternatives=[other], words="As we talked it over")
    send_offer(work.call(), offer=f"{number}-Q1", to="orla@fenwick.example")
    for path in pages[1:]:
        open_page(screen, path)
        assert screen.get_by_text("Glue not counted").is_visible()  # without opening anything
        screen.get_by_text("What the proposal rests on").click()
        assert screen.get_by_text("hours nobody pays").is_visible()
        assert (too_wide(screen), barriers(screen)) == (0, []), path
    for path in ("send", "again", "let-go"):
        open_page(screen, f"/offers/{number}-Q1/{path}/")
        assert (too_wide(screen), barriers(screen)) == (0, []), path
    open_page(screen, "/quotes/")
    assert (too_wide(screen), barriers(screen)) == (0, [])


def test_a_standard_quote_is_sent_in_two_taps_and_two_typed_fields(screen: Page, work: Work):
    """From the page of the commission: write it, hours and address of a new shop, send it."""
    commission = a_commission(work.call(), a_client(work.call()))
    piece = a_piece(work.call(), commission)
    set_shop(work.call(), settings={"hourly_rate": "60", "price_per_board_foot": "9"})
    screen.set_viewport_size({"width": 390, "height": 844})
    open_page(screen, f"/commissions/{commission.number}/")
    screen.get_by_role("link", name="Write the quote").first.click()
    expect(screen.get_by_text("Hours not counted")).to_be_visible()
    price = screen.locator("[name='lines/0/unit_price']")
    proposed = float(price.input_value())
    screen.locator(f"[name='hours/{piece.number}']").fill("20")
    expect(price).to_have_value(number_words(Decimal(str(proposed)) + 1200))  # it follows the hours
    expect(screen.locator("#q-total")).to_contain_text(f"{proposed + 1200:,.2f}")
    expect(screen.get_by_text("Hours not counted")).to_have_count(0)
    screen.get_by_label("Mail it to").fill("orla@fenwick.example")
    height = screen.evaluate("document.documentElement.scrollHeight")
    assert height <= 3 * 844, height
    screen.get_by_role("button", name="Send the quote").click()
    expect(screen.get_by_text("Waiting for the client since")).to_be_visible()
    assert Offer.objects.get().step == "issued" and Offer.objects.get().lines.get().unit_price > 1200


def test_a_client_who_scrolls_has_opened_the_quote(screen: Page, work: Work):
    commission = a_commission(work.call(), a_client(work.call()))
    a_piece(work.call(), commission)
    line = Line(description="Top as drawn", unit_price=Decimal(2000))
    draft_quote(work.call(), commission=commission.number, lines=[line])
    send_offer(work.call(), offer=f"{commission.number}-Q1", to="orla@fenwick.example")
    mail = f"sent:{PaperSending.objects.get().id}"
    token = make_mailed_link(commission, mail=mail, by="owner", now=work.now)[1]
    open_page(screen, f"/c/{token}/")
    assert PaperSending.objects.get().opened_at is None
    with screen.expect_response(lambda answer: answer.url.endswith("/opened/")) as told:
        screen.keyboard.press("PageDown")
    assert told.value.status == 204 and PaperSending.objects.get().opened_at is not None
