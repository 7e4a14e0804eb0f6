"""Two people at one stage, each at a screen."""

from collections.abc import Iterator

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from jobs.domain.stages.commands import start_stage
from jobs.models import Event, Person, Piece
from tests.shop_fixtures import INCHES, a_call, good
from tests.web.browser.conftest import open_page, sign_in


@pytest.fixture
def other(browser: Browser, watched: Page, maker: Person) -> Iterator[Page]:
    """Return the maker's screen beside the owner's."""
    context = browser.new_context()
    page = context.new_page()
    page.set_default_timeout(20_000)
    page.base = watched.base  # type: ignore[attr-defined]
    sign_in(page, maker)
    yield page
    context.close()


@pytest.fixture
def survey(piece: Piece, owner: Person) -> str:
    """Return the address of a stage that is under way."""
    start_stage(a_call(owner, timezone.now()), piece=piece.number, stage="survey", units=INCHES)
    return f"/pieces/{piece.number}/stages/survey/"


def finish(screen: Page, piece: Piece) -> None:
    """Answer yes to everything the stage asks, and finish it."""
    for _ in good(piece, "survey", "finish"):
        screen.locator("#work input[value=yes]:not(:checked)").first.check()
    screen.get_by_role("button", name="Finish", exact=True).click()


def finished() -> list[Event]:
    return list(Event.objects.filter(kind="stage_finished"))


def test_what_one_has_done_shows_on_the_other_screen_by_itself(
    screen: Page, other: Page, survey: str, piece: Piece
):
    other.clock.install()
    open_page(screen, survey)
    open_page(other, survey)
    expect(other.get_by_role("button", name="Finish", exact=True)).to_be_visible()
    finish(screen, piece)
    expect(screen.get_by_text("finished.")).to_be_visible()
    other.clock.run_for(16_000)
    expect(other.get_by_text(", Ada Lindenau").first).to_be_visible()
    expect(other.get_by_role("button", name="Finish", exact=True)).to_be_hidden()


def test_the_second_to_tap_reads_who_did_it_and_when_and_nothing_is_done_twice(
    screen: Page, other: Page, survey: str, piece: Piece
):
    open_page(screen, survey)
    open_page(other, survey)
    finish(screen, piece)
    expect(screen.get_by_text("finished.")).to_be_visible()
    at = timezone.localtime(finished()[0].occurred_at)
    finish(other, piece)
    expect(other.get_by_role("alert")).to_contain_text("already: by Ada Lindenau at")
    expect(other.get_by_role("alert")).to_contain_text(f"{at:%H:%M}")
    assert len(finished()) == 1
