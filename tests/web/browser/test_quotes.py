"""A quote on a phone: readable without sideways scrolling, and no barrier that axe knows."""

from decimal import Decimal

from playwright.sync_api import Page

from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.quotes import draft_quote, issue_offer
from jobs.domain.workshop.commands import set_shop
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
    issue_offer(work.call(), offer=f"{number}-Q1")
    for path in pages[1:]:
        open_page(screen, path)
        assert screen.get_by_text("Glue not counted").is_visible()  # without opening anything
        screen.get_by_text("What the proposal rests on").click()
        assert screen.get_by_text("hours nobody pays").is_visible()
        assert (too_wide(screen), barriers(screen)) == (0, []), path
