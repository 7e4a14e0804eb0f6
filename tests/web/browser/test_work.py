"""A day's work through a real browser."""

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from jobs.domain.stages.commands import start_stage
from jobs.models import Commission, Event, Person, Piece
from tests.shop_fixtures import INCHES, PASSWORD, Work, a_call, stage_of
from tests.web.browser.conftest import open_page, wait_until
from tests.web.conftest import at_the_glue, in_clamps

pytestmark = pytest.mark.takes(35)


def test_signing_in_and_taking_down_a_new_commission(page: Page, live_server: object, owner: Person):
    page.set_default_timeout(8000)
    page.goto(live_server.url + "/")
    page.get_by_label("Name").fill("owner")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    for skipped in ("Your shop", "At the bench"):
        expect(page.get_by_role("heading", name=skipped)).to_be_visible()
        page.get_by_role("link", name="Skip").click()
    page.get_by_role("link", name="To the bench").click()
    expect(page.get_by_role("heading", name="Enter the first commission")).to_be_visible()
    page.get_by_role("link", name="Commissions").click()
    page.get_by_role("link", name="New commission").first.click()
    page.get_by_label("Client", exact=True).fill("Orla Fenwick")
    page.get_by_label("What they ask for").fill("A table for the loft, to seat eight")
    page.get_by_text("Title, promise, notes").click()
    page.get_by_label("Title").fill("Table for the loft")
    page.get_by_label("Length", exact=True).fill("6' 2\"")
    page.get_by_label("Width", exact=True).fill("812 mm")
    page.get_by_label("Thickness", exact=True).fill("1 3/4")
    page.get_by_label("Wood", exact=True).fill("Walnut")
    expect(page.locator("#live")).to_contain_text("41.07 board ft")
    page.get_by_role("button", name="Open the commission").click()
    expect(page.get_by_role("heading", name="Table for the loft")).to_be_visible()
    expect(page.locator("a.next")).to_contain_text("Write the quote")
    assert Commission.objects.get().pieces.get().inputs["species"] == "black walnut"


def test_a_refused_form_keeps_everything_and_opens_on_what_is_wrong(screen: Page):
    open_page(screen, "/commissions/new/")
    screen.get_by_label("Client", exact=True).fill("Orla Fenwick")
    screen.get_by_label("What they ask for").fill("A top")
    screen.get_by_label("Length", exact=True).fill("12 yards")
    screen.get_by_role("button", name="Open the commission").click()
    expect(screen.get_by_role("alert")).to_be_focused()
    expect(screen.get_by_label("Length", exact=True)).to_have_value("12 yards")
    expect(screen.get_by_label("Length", exact=True)).to_have_attribute("aria-invalid", "true")
    assert not Commission.objects.exists()


def test_an_own_list_of_stages_shows_with_its_route(screen: Page):
    open_page(screen, "/commissions/new/")
    screen.get_by_text("Glue, finish, shape").click()
    screen.get_by_text("Route, count and cut").click()
    expect(screen.get_by_label("Own stages")).to_be_hidden()
    screen.get_by_label("Route").select_option(label="Own list of stages")
    expect(screen.get_by_label("Own stages")).to_be_visible()


def test_a_shut_gate_is_refused_then_passed_with_a_reason_then_finished(
    screen: Page, work: Work, piece: Piece
):
    at_the_glue(work, piece)
    open_page(screen, f"/commissions/{piece.commission.number}/")
    screen.locator("a.next").click()
    expect(screen.get_by_text("Gloves and eye protection")).to_be_visible()
    screen.get_by_label("Shop temperature", exact=True).fill("41")
    screen.locator("#work input[value=yes]").check()
    screen.locator("#acts").get_by_role("button", name="Start").click()
    expect(screen.get_by_text("Not started: shop temperature, 41 °F")).to_be_visible()
    expect(screen.get_by_text("The other answer is kept.")).to_be_visible()
    assert stage_of(piece, "glue-up").step == "planned"
    expect(screen.get_by_label("Shop temperature", exact=True)).to_have_value("41")
    screen.get_by_text("Go on all the same", exact=True).click()
    screen.get_by_label("Why you go on all the same: shop temperature").fill("heater on its way")
    screen.locator(".refused").get_by_role("button", name="Start").click()
    expect(screen.get_by_role("button", name="First glue on")).to_be_visible()
    screen.get_by_role("link", name="Back to the stage").click()
    screen.get_by_label("Glue lot").fill("L-17")
    screen.get_by_text("How long, when, a remark").click()
    screen.get_by_label("Minutes of work").fill("30")
    screen.locator("#acts").get_by_role("button", name="Finish").click()
    expect(screen.get_by_text("Glue-up: finished.")).to_be_visible()
    expect(screen.locator(".waits .bar").first).to_be_visible()
    open_page(screen, f"/commissions/{piece.commission.number}/history/?all")
    expect(screen.get_by_text("Shop temperature passed over: heater on its way")).to_be_visible()


def test_two_quick_presses_start_a_stage_once(screen: Page, piece: Piece):
    open_page(screen, f"/pieces/{piece.number}/stages/survey/")
    screen.locator("#acts").get_by_role("button", name="Start").dblclick()
    expect(screen.get_by_role("button", name="Finish")).to_be_visible()
    assert Event.objects.filter(kind="stage_started").count() == 1


def test_the_glue_line_and_the_count_go_on_by_themselves(screen: Page, work: Work, owner: Person):
    piece = work.accepted(width="24")
    in_clamps(work, piece, minutes=40)
    screen.clock.install()
    open_page(screen, f"/pieces/{piece.number}/stages/clamps-off/")
    line, count = screen.locator(".glue").first, screen.locator(".count").first

    def fill() -> float:
        return float(line.evaluate("e => e.style.getPropertyValue('--fill')").rstrip("%"))

    before, words = fill(), count.text_content()
    screen.clock.run_for(10 * 60 * 1000)
    # four hours in the clamps by default, up to five and a half at the latest: ten minutes more are
    # 10/240 to 10/330 of the line
    assert 3 < fill() - before < 5 and count.text_content() != words


def test_the_bench_follows_by_itself(screen: Page, work: Work, maker: Person, piece: Piece):
    screen.clock.install()
    open_page(screen, "/")
    expect(screen.locator("#first")).to_have_text("Start")
    start_stage(a_call(maker, timezone.now()), piece=piece.number, stage="survey", units=INCHES)
    screen.clock.run_for(16_000)
    expect(screen.locator("#first")).to_have_text("Finish")


def test_a_commission_follows_by_itself(screen: Page, maker: Person, piece: Piece):
    screen.clock.install()
    open_page(screen, f"/commissions/{piece.commission.number}/")
    expect(screen.locator("a.next")).to_contain_text("Start")
    start_stage(a_call(maker, timezone.now()), piece=piece.number, stage="survey", units=INCHES)
    screen.clock.run_for(16_000)
    expect(screen.locator("a.next")).to_contain_text("Finish")


def test_a_reminder_is_answered_on_the_bench_and_asked_again(screen: Page, work: Work, owner: Person):
    piece = work.accepted(width="24")
    in_clamps(work, piece, minutes=40)
    open_page(screen, "/")
    expect(screen.get_by_role("heading", name="Reminders")).to_be_visible()
    screen.locator(".line summary").first.click()
    screen.get_by_role("button", name="Seen").first.click()
    wait_until(lambda: Event.objects.filter(kind="reminder_acknowledged").exists())
    expect(screen.get_by_role("heading", name="Reminders")).to_be_hidden()
    screen.get_by_role("button", name="Undo").click()
    expect(screen.get_by_role("heading", name="Reminders")).to_be_visible()


def test_undo_is_offered_for_ten_seconds(screen: Page, work: Work, owner: Person):
    in_clamps(work, work.accepted(width="24"), minutes=40)
    screen.clock.install()
    open_page(screen, "/")
    screen.locator(".line summary").first.click()
    screen.get_by_role("button", name="Seen").first.click()
    undo = screen.get_by_role("button", name="Undo")
    expect(undo).to_be_visible()
    screen.clock.run_for(5_000)
    expect(undo).to_be_visible()
    screen.clock.run_for(6_000)
    expect(undo).to_be_hidden()
    expect(screen.get_by_text("Seen.")).to_be_visible()


def test_the_now_line_and_the_clock_go_on_by_themselves(screen: Page, work: Work, owner: Person):
    in_clamps(work, work.accepted(width="24"), minutes=40)
    screen.clock.install()
    open_page(screen, "/")

    def now() -> float:
        return float(screen.evaluate("document.querySelector('.waits').style.getPropertyValue('--now')"))

    before, clock = now(), screen.locator(".strip [data-clock]").text_content()
    screen.clock.run_for(30 * 60 * 1000)
    assert abs(now() - before - 0.5) < 0.05
    # what the bench fetched meanwhile has the clock of the service until the next second
    expect(screen.locator(".strip [data-clock]")).not_to_have_text(clock or "")


def test_the_chain_is_verified_on_the_page(screen: Page, piece: Piece):
    open_page(screen, "/log/")
    screen.get_by_role("button", name="Check the log").click()
    expect(screen.get_by_text("Nothing was changed or taken out.")).to_be_visible()


def test_a_missed_window_stands_first_on_the_bench(screen: Page, work: Work, owner: Person):
    piece = work.accepted(width="24")
    in_clamps(work, piece, minutes=timedelta(hours=3).total_seconds() / 60)
    open_page(screen, "/")
    expect(screen.get_by_role("heading", level=1)).to_have_text("Scrape the squeeze-out")
    expect(screen.get_by_text("window closed").first).to_be_visible()
