"""By keyboard alone: the main action is reached by Tab and pressed by Enter; nothing moves where unwished."""

from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from jobs.domain.billing.prices import Line
from jobs.domain.clients.portal_links import make_link
from jobs.domain.quoting.quotes import draft_quote, issue_offer
from jobs.models import Offer, Person, Piece
from tests.shop_fixtures import Work, a_client, a_commission, a_piece, stage_of
from tests.web.browser.conftest import open_page

MOST_TABS = 60
LAPTOP = {"width": 1280, "height": 900}
FOCUSED = """what => {
    const at = document.activeElement, style = getComputedStyle(at);
    const seen = style.outlineStyle !== "none" || style.boxShadow !== "none";
    return at.matches(what) && [seen, at.innerText.trim()];
}"""
MOVING = """() => document.getAnimations().filter(each => each.playState === "running").map(each =>
    each.animationName || each.transitionProperty)"""


def reach(screen: Page, what: str) -> str:
    """Press Tab until this has the focus, which must be seen; return its words."""
    for _ in range(MOST_TABS):
        screen.keyboard.press("Tab")
        if found := screen.evaluate(FOCUSED, what):
            seen, says = found
            assert seen, f"nobody sees that {says} has the focus"
            return str(says)
    pytest.fail(f"{what} is not reached by {MOST_TABS} presses of Tab")


def press(screen: Page, what: str) -> str:
    says = reach(screen, what)
    with screen.expect_navigation(wait_until="load"):
        screen.keyboard.press("Enter")
    return says


@pytest.fixture
def ready(screen: Page, work: Work) -> Piece:
    """Return a piece whose strips can be ripped now, on a laptop."""
    piece = work.accepted()
    work.do_until(piece, "final-mill")
    screen.set_viewport_size(LAPTOP)  # type: ignore[arg-type]
    return piece


def test_from_the_bench_to_a_stage_that_is_done(screen: Page, ready: Piece):
    open_page(screen, "/")
    press(screen, ".first a.go")
    assert "/stages/rip/" in screen.url
    press(screen, "#acts .go")
    assert stage_of(ready, "rip").step == "done"


def test_the_next_action_of_a_commission(screen: Page, ready: Piece):
    open_page(screen, f"/commissions/{ready.commission.number}/")
    press(screen, "a.go.next")
    assert "/stages/rip/" in screen.url


def test_a_client_orders(watched: Page, work: Work, owner: Person):
    commission = a_commission(work.call(), a_client(work.call()))
    a_piece(work.call(), commission)
    draft_quote(
        work.call(), commission=commission.number, lines=[Line(description="Top", unit_price=Decimal(2000))]
    )
    issue_offer(work.call(), offer=f"{commission.number}-Q1")
    token = make_link(owner, commission=commission.number, now=timezone.now())[1]
    watched.set_viewport_size(LAPTOP)  # type: ignore[arg-type]
    open_page(watched, f"/c/{token}/")
    reach(watched, "form input[name=name]")
    watched.keyboard.type("Orla Fenwick")
    assert press(watched, "form button.go").startswith("Yes, make it")
    assert Offer.objects.get().step == "accepted"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_moves_where_that_is_asked(screen: Page, ready: Piece, scheme: Any):
    screen.emulate_media(color_scheme=scheme, reduced_motion="reduce")
    number = ready.commission.number
    for path in ("/", f"/commissions/{number}/", f"/pieces/{ready.number}/stages/rip/", "/plan/"):
        open_page(screen, path)
        screen.locator("main :is(a, button, summary):visible").last.hover()
        assert screen.evaluate(MOVING) == [], path
    expect(screen.locator("main")).to_be_visible()
