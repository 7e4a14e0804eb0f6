"""The client's page in a real browser, at the size of a phone."""

import io
from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone
from PIL import Image, ImageDraw
from playwright.sync_api import Page, expect

from jobs.domain.billing.prices import Line
from jobs.domain.clients.approvals import ask_approval
from jobs.domain.clients.portal_links import make_link
from jobs.domain.clients.updates import tell_client
from jobs.domain.commissions.commissions import change_commission
from jobs.domain.notes.pictures import take_picture
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.quotes import draft_quote, issue_offer
from jobs.domain.workshop.commands import set_shop
from jobs.models import ClientQuestion, Event, Person, Picture, Piece
from tests.shop_fixtures import Work, a_client, a_commission, a_piece
from tests.web.browser.conftest import barriers, too_wide


@pytest.fixture
def opened(
    page: Page, live_server: Any, work: Work, slow_piece: Piece, owner: Person, tmp_path: Any, settings: Any
) -> Iterator[Page]:
    """Open the page of a top whose wood settles, with news and pictures; record every request."""
    settings.FILES_DIR, settings.DATA_DIR = tmp_path / "files", tmp_path
    settings.FILES_DIR.mkdir()
    number = slow_piece.commission.number
    set_shop(work.call(), settings={}, name="Lindenau Table Works", address="4 Mill Race", contact="555 0199")
    promised = timezone.localdate() + timedelta(days=70)
    change_commission(work.call(), commission=number, promise_on=promised)
    work.now = timezone.now() - timedelta(hours=20)
    work.do_until(slow_piece, "stock")
    for shade in ("#8a5a35", "#6d4427", "#a97c50"):
        out, image = io.BytesIO(), Image.new("RGB", (1200, 900), shade)
        draw = ImageDraw.Draw(image)
        for n in range(0, 900, 14):
            draw.arc((-900, n - 300, 2100, n + 600), 200, 340, fill="#4b2e18", width=2)
        image.save(out, "JPEG")
        take_picture(work.call(), piece=slow_piece.number, stage="stock", picture=out.getvalue())
    shown = list(Picture.objects.values_list("id", flat=True))
    words = (
        "Your walnut is here.\n\nWe went through four stacks for it; see how the grain runs along the edge."
    )
    tell_client(work.call(), commission=number, words=words, pictures=shown)
    page.set_default_timeout(8000)
    page.set_viewport_size({"width": 360, "height": 780})
    page.asked = []  # type: ignore[attr-defined]
    page.complaints = []  # type: ignore[attr-defined]
    page.on("request", lambda r: page.asked.append(r.url))  # type: ignore[attr-defined]
    page.on("console", lambda m: page.complaints.append(m.text))  # type: ignore[attr-defined]
    page.goto(live_server.url + f"/c/{make_link(owner, commission=number, now=timezone.now())[1]}/")
    yield page
    assert page.complaints == []  # type: ignore[attr-defined]
    assert [u for u in page.asked if not u.startswith(live_server.url)] == []  # type: ignore[attr-defined]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_fits_a_phone_and_has_no_barrier(opened: Page, scheme: Any):
    opened.emulate_media(color_scheme=scheme)
    expect(opened.get_by_role("heading", name="Desk by the window")).to_be_visible()
    expect(opened.get_by_text("Your walnut is here.")).to_be_visible()
    expect(opened.locator(".show img")).to_have_js_property("naturalWidth", 1200)
    pictures = opened.locator(".dpic img")
    for n in range(3):
        pictures.nth(n).scroll_into_view_if_needed()
        expect(pictures.nth(n)).not_to_have_js_property("naturalWidth", 0)
    assert too_wide(opened) <= 0 and barriers(opened) == []
    assert opened.context.cookies() == []


def test_a_question_is_asked_by_a_thumb_and_a_double_tap_asks_it_once(opened: Page):
    opened.get_by_label("Your question").fill("May the cat sit on it?")
    button = opened.get_by_role("button", name="Send the question")
    assert button.bounding_box()["height"] >= 48  # type: ignore[index]
    button.dblclick()
    expect(opened.get_by_text("Thank you for your question")).to_be_visible()
    expect(opened.get_by_text("May the cat sit on it?").first).to_be_visible()
    assert ClientQuestion.objects.count() == 1


@pytest.fixture
def offered(page: Page, live_server: Any, work: Work, owner: Person) -> Page:
    """Open the page of an enquiry whose quote has two choices of wood."""
    enquiry = a_piece(work.call(), a_commission(work.call(), a_client(work.call())))
    number = enquiry.commission.number
    woods = (("white oak", "In white oak", 300), ("black cherry", "In black cherry", -120))
    draft_quote(
        work.call(),
        commission=number,
        lines=[Line(description="Top", unit_price=Decimal(2000), tax_pct=Decimal(10))],
        alternatives=[
            Alternative(piece=enquiry.number, species=wood, description=says, difference=Decimal(more))
            for wood, says, more in woods
        ],
    )
    issue_offer(work.call(), offer=f"{number}-Q1")
    page.set_default_timeout(8000)
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(live_server.url + f"/c/{make_link(owner, commission=number, now=timezone.now())[1]}/")
    return page


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_total_follows_what_is_chosen_and_the_order_is_that_total(offered: Page, scheme: Any):
    offered.emulate_media(color_scheme=scheme)
    total = offered.locator(".total b")
    expect(total).to_have_text("2,200.00 USD")
    expect(offered.get_by_role("button", name="Update the total")).to_have_count(0)
    offered.get_by_label("In white oak").check()
    expect(total).to_have_text("2,530.00 USD")
    offered.get_by_label("In black cherry").check()
    expect(total).to_have_text("2,068.00 USD")
    expect(offered.locator(".show img").first).not_to_have_js_property("naturalWidth", 0)
    assert too_wide(offered) <= 0 and barriers(offered) == []
    height = offered.evaluate("document.documentElement.scrollHeight")
    assert height <= 3 * 844, f"{height} px, over three screens"
    offered.get_by_label("Your name").fill("Orla Fenwick")
    offered.get_by_role("button", name="a paid order").click()
    expect(offered.get_by_text("Thank you, we have your answer.")).to_be_visible()
    assert Event.objects.get(kind="offer_accepted").data["chosen"] == [2]


def test_without_script_a_button_updates_the_total(offered: Page, browser: Any):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(offered.url)
    page.get_by_label("In white oak").check()
    page.get_by_role("button", name="Update the total").click()
    expect(page.locator(".total b")).to_have_text("2,530.00 USD")
    expect(page.get_by_label("In white oak")).to_be_checked()
    context.close()


def test_the_drawing_is_approved_by_a_thumb(offered: Page, work: Work):
    piece = Piece.objects.get()
    ask_approval(work.call(), commission=piece.commission.number, drawings=[piece.number])
    offered.reload()
    expect(offered.locator("svg.drawn")).to_be_visible()
    assert too_wide(offered) <= 0 and barriers(offered) == []
    offered.get_by_role("button", name="Yes, make it like this").click()
    expect(offered.get_by_text("We have your yes")).to_be_visible()
    assert Event.objects.filter(kind="client_approved").count() == 1
