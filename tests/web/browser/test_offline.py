"""No signal at the bench: pages stay readable, taps wait on the phone and are sent with their times."""

import json
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, Route, ViewportSize, expect

from jobs.domain.stages.commands import start_stage
from jobs.domain.stock.supplies import add_supply
from jobs.models import Event, Person, Piece, Reading, Supply
from shop.launch import system
from tests.shop_fixtures import INCHES, PASSWORD, Work, a_call, stage_of
from tests.web.browser.conftest import barriers, open_page, too_wide, wait_until
from tests.web.conftest import at_the_glue, in_clamps

pytestmark = pytest.mark.takes(35)

KEPT = "caches.open('pages').then(p => p.keys()).then(all => all.map(r => new URL(r.url).pathname))"
AGE = """async (days) => {
  const pages = await caches.open("pages");
  for (const request of await pages.keys()) {
    const kept = await pages.match(request), headers = new Headers(kept.headers);
    headers.set("Kept-At", new Date(Date.now() - days * 24 * 3600 * 1000).toISOString());
    await pages.put(request, new Response(await kept.blob(), { headers }));
  }
}"""
"""As if everything kept had been kept so many days ago."""
Phone = Callable[[], BrowserContext]
SIZE = ViewportSize(width=360, height=740)


def signed_in(context: BrowserContext, person: Person, live_server: Any) -> None:
    http = Client()
    http.force_login(person)
    cookie = {"name": "sessionid", "value": http.cookies["sessionid"].value, "url": live_server.url}
    context.add_cookies([cookie])


@pytest.fixture
def phone(browser: Browser, live_server: Any, owner: Person) -> Iterator[BrowserContext]:
    """Return the owner's phone."""
    context = browser.new_context(viewport=SIZE)
    context.set_default_timeout(8000)
    context.new_page()
    signed_in(context, owner, live_server)
    yield context
    context.set_offline(False)
    context.close()


@pytest.fixture
def own_phone(playwright: Playwright, live_server: Any, owner: Person, tmp_path: Path) -> Iterator[Phone]:
    """Return a function that opens a browser of the owner's own, each time with all that it had kept."""
    opened: list[BrowserContext] = []

    def open_browser() -> BrowserContext:
        if opened:
            opened.pop().close()
        context = playwright.chromium.launch_persistent_context(
            str(tmp_path / "phone"),
            executable_path=system.browser(),
            viewport=SIZE,
        )
        context.set_default_timeout(8000)
        signed_in(context, owner, live_server)
        opened.append(context)
        return context

    yield open_browser
    for context in opened:
        context.set_offline(False)
        context.close()


def at(phone: BrowserContext, path: str, live_server: Any) -> Page:
    page = phone.pages[0]
    page.goto(live_server.url + path)
    return page


def with_worker(phone: BrowserContext, live_server: Any, *paths: str) -> Page:
    """Open these pages once while there is signal."""
    page = at(phone, "/", live_server)
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    wait_until(lambda: page.evaluate("Boolean(navigator.serviceWorker.controller)"))
    for path in paths:
        page.goto(live_server.url + path)
    return page


def answer_all(page: Page) -> None:
    for yes in page.locator("main input[value=yes]").all():
        yes.check()


def kinds() -> list[str]:
    return list(
        Event.objects.filter(kind__startswith="stage_").order_by("seq").values_list("kind", flat=True)
    )


def shops_own(page: Page) -> None:
    """Wait until the kept page has been replaced by the shop's, and reloads no more by itself."""
    expect(page.locator("body:not([data-kept])")).to_be_attached()


def told(page: Page) -> Any:
    return page.locator("#signal-says")


def test_three_taps_outlast_the_browser_and_land_once_with_their_times(
    own_phone: Phone, live_server: Any, piece: Piece
):
    survey, stock = (f"/pieces/{piece.number}/stages/{key}/" for key in ("survey", "stock"))
    context = own_phone()
    page = with_worker(context, live_server, survey, stock)
    expect(page.get_by_role("button", name="Start")).to_be_hidden()  # it comes after the survey
    context.set_offline(True)
    tapped: list[datetime] = []

    def press(name: str) -> None:
        page.locator("#acts").get_by_role("button", name=name, exact=True).click()
        tapped.append(timezone.now())
        expect(told(page)).to_contain_text(f"{len(tapped)} taps wait" if tapped[1:] else "One tap waits")

    page.goto(live_server.url + survey)
    expect(told(page)).to_contain_text("No signal. This page is as of")
    press("Start")
    answer_all(page)
    press("Finish")
    page.goto(live_server.url + stock)  # the page shows the state after the queued taps
    press("Start")
    expect(page.locator("#acts").get_by_role("button", name="Finish", exact=True)).to_be_visible()
    assert kinds() == []

    context = own_phone()  # the browser was closed and is opened again
    page = at(context, "/needs-your-eye/", live_server)
    wait_until(lambda: len(kinds()) == 3)
    expect(page.get_by_text("Everything tapped on this phone has been sent.")).to_be_visible()
    page.goto(live_server.url + stock)  # nothing is sent a second time
    expect(page.get_by_role("button", name="Finish")).to_be_visible()
    events = Event.objects.filter(kind__startswith="stage_").order_by("seq")
    assert [(e.kind, e.data["stage"]) for e in events] == [
        ("stage_started", "survey"),
        ("stage_finished", "survey"),
        ("stage_started", "stock"),
    ]
    for event, moment in zip(events, tapped, strict=True):
        assert abs(event.occurred_at - moment) < timedelta(seconds=3)
        assert event.recorded_at > event.occurred_at


def test_a_stage_is_done_in_one_tap_without_signal_and_the_next_one_opens(
    phone: BrowserContext, live_server: Any, piece: Piece
):
    survey, stock = (f"/pieces/{piece.number}/stages/{key}/" for key in ("survey", "stock"))
    page = with_worker(phone, live_server, survey, stock)
    phone.set_offline(True)
    page.goto(live_server.url + survey)
    answer_all(page)
    page.locator("#acts").get_by_role("button", name="Done", exact=True).click()
    tapped = timezone.now()
    expect(page.locator(".kept-tap")).to_have_count(1)
    expect(page.locator("#acts button")).to_have_count(0)
    page.goto(live_server.url + stock)
    expect(page.locator("#acts").get_by_role("button", name="Done", exact=True)).to_be_visible()
    phone.set_offline(False)
    wait_until(lambda: stage_of(piece, "survey").step == "done")
    done = stage_of(piece, "survey")
    assert done.minutes is None and done.started_at == done.finished_at
    assert abs(done.finished_at - tapped) < timedelta(seconds=3)


def test_a_refusal_holds_its_piece_and_is_put_right_with_its_first_time(
    phone: BrowserContext, live_server: Any, work: Work, piece: Piece, maker: Person
):
    other = work.accepted()
    survey, elsewhere = f"/pieces/{piece.number}/stages/survey/", f"/pieces/{other.number}/stages/survey/"
    page = with_worker(phone, live_server, survey, elsewhere, "/needs-your-eye/")
    phone.set_offline(True)
    page.goto(live_server.url + survey)
    page.locator("#acts").get_by_role("button", name="Start", exact=True).click()
    expect(page.locator(".kept-tap")).to_have_count(1)
    page.locator("#work").get_by_text("How long, when, a remark").click()
    page.locator("#work").get_by_label("Minutes of work").fill("20")  # the gates stay unanswered: refused
    page.locator("#acts").get_by_role("button", name="Finish", exact=True).click()
    tapped = timezone.now()
    expect(page.locator(".kept-tap")).to_have_count(2)
    page.goto(live_server.url + elsewhere)
    page.locator("#acts").get_by_role("button", name="Start", exact=True).click()
    expect(told(page)).to_contain_text("3 taps wait")
    page.goto(live_server.url + "/needs-your-eye/")
    phone.set_offline(False)
    shops_own(page)
    expect(page.locator("#eye > li")).to_have_count(1)
    wait_until(lambda: stage_of(other, "survey").step == "under way")
    assert stage_of(piece, "survey").step == "under way"
    expect(page.locator("#eye")).to_contain_text("Minutes of work: 20")
    assert too_wide(page) <= 0 and barriers(page) == []
    page.get_by_role("button", name="Edit").click()
    expect(page.get_by_label("Minutes of work")).to_have_value("20")
    answer_all(page)
    with page.expect_navigation():  # it leads by itself to where the stage was finished
        page.locator("#acts").get_by_role("button", name="Finish", exact=True).click()
    assert stage_of(piece, "survey").step == "done"
    finished = Event.objects.get(kind="stage_finished")
    assert abs(finished.occurred_at - tapped) < timedelta(seconds=3)
    page.goto(live_server.url + "/needs-your-eye/")
    expect(page.get_by_text("Nothing was refused.")).to_be_visible()


def started_without_signal(context: BrowserContext, live_server: Any, survey: str) -> Page:
    """Return the page of a stage whose start waits on the phone."""
    page = with_worker(context, live_server, survey)
    context.set_offline(True)
    page.locator("#acts").get_by_role("button", name="Start", exact=True).click()
    expect(page.locator(".kept-tap")).to_have_count(1)
    return page


def test_what_somebody_else_did_meanwhile_is_said_and_holds_nothing(
    phone: BrowserContext, live_server: Any, piece: Piece, maker: Person
):
    survey = f"/pieces/{piece.number}/stages/survey/"
    page = started_without_signal(phone, live_server, survey)
    start_stage(a_call(maker, timezone.now()), piece=piece.number, stage="survey", units=INCHES)
    with page.expect_navigation():  # the page reloads by itself
        phone.set_offline(False)
    expect(page.get_by_role("button", name="Finish")).to_be_visible()
    page.get_by_role("link", name="Needs your eye: 1").click()
    expect(page.locator("#eye")).to_contain_text(f"Already done by {maker} at ")
    page.get_by_role("button", name="Understood").click()
    expect(page.get_by_text("Nothing was refused.")).to_be_visible()
    expect(page.locator("#signal")).to_be_hidden()
    assert kinds() == ["stage_started"]


@pytest.mark.long
def test_open_commissions_are_read_without_ever_having_been_opened(
    phone: BrowserContext, live_server: Any, work: Work, slow_piece: Piece
):
    in_clamps(work, slow_piece, minutes=40)
    commission = f"/commissions/{slow_piece.commission.number}/"
    page = with_worker(phone, live_server)
    wait_until(lambda: f"/pieces/{slow_piece.number}/stages/scrape/" in page.evaluate(KEPT))
    assert commission in page.evaluate(KEPT)
    phone.set_offline(True)
    page.goto(live_server.url + commission)
    expect(told(page)).to_contain_text("No signal. This page is as of")
    expect(page.locator(".waits .bar").first).to_be_visible()
    assert too_wide(page) <= 0 and barriers(page) == []
    page.goto(live_server.url + "/")
    page.locator(".line summary").first.click()
    page.get_by_role("button", name="Seen").first.click()
    expect(page.locator(".kept-tap")).to_contain_text("kept on this phone")
    page.goto(live_server.url + "/clients/")
    expect(page.get_by_role("heading", name="No signal")).to_be_visible()
    phone.set_offline(False)
    expect(page.get_by_role("heading", name="Clients")).to_be_visible()
    wait_until(lambda: Event.objects.filter(kind="reminder_acknowledged").count() == 1)


@pytest.mark.long
def test_what_the_line_swallows_waits_too_and_what_cannot_wait_says_so(
    phone: BrowserContext, live_server: Any, work: Work, slow_piece: Piece
):
    in_clamps(work, slow_piece, minutes=40)
    page = at(phone, "/", live_server)
    page.route("**/reminders/answer/", lambda route: route.abort("connectionrefused"))
    page.locator(".line summary").first.click()
    page.get_by_role("button", name="Seen").first.click()  # the phone believes that there is signal
    expect(page.locator(".kept-tap")).to_contain_text("kept on this phone")
    page.goto(live_server.url + f"/pieces/{slow_piece.number}/stages/scrape/")
    page.unroute("**/reminders/answer/")
    with page.expect_navigation():  # what waited is sent, and the page reloads by itself
        page.evaluate("() => { dispatchEvent(new Event('online')); }")
    wait_until(lambda: Event.objects.filter(kind="reminder_acknowledged").count() == 1)
    expect(told(page)).to_contain_text("Sent by now: Answered.")
    page.get_by_text("Take a picture").click()
    phone.set_offline(True)
    page.locator("[name=words]").fill("squeeze-out along the third joint")
    page.get_by_role("button", name="Keep the picture").click()
    expect(told(page)).to_contain_text("this cannot wait on the phone")
    expect(page.locator("[name=words]")).to_have_value("squeeze-out along the third joint")


def test_what_was_kept_goes_when_its_person_signs_out(phone: BrowserContext, live_server: Any, piece: Piece):
    page = with_worker(phone, live_server, f"/commissions/{piece.commission.number}/", "/me/")
    assert page.evaluate(KEPT) != []
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    assert page.evaluate(KEPT) == []


@pytest.mark.long
def test_what_was_kept_goes_when_the_session_is_over(phone: BrowserContext, live_server: Any, piece: Piece):
    page = with_worker(phone, live_server, f"/commissions/{piece.commission.number}/")
    assert page.evaluate(KEPT) != []
    phone.clear_cookies(name="sessionid")
    page.reload()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    wait_until(lambda: page.evaluate(KEPT) == [])


@pytest.mark.long
def test_what_was_kept_goes_after_two_weeks_out_of_touch(
    phone: BrowserContext, live_server: Any, piece: Piece
):
    at_it = f"/commissions/{piece.commission.number}/"
    page = with_worker(phone, live_server, at_it)
    phone.set_offline(True)
    page.evaluate(AGE, 13)
    page.reload()
    expect(page.locator("body[data-kept]")).to_be_attached()
    page.evaluate(AGE, 15)
    page.reload()
    expect(page.get_by_role("heading", name="No signal")).to_be_visible()
    assert page.evaluate(KEPT) == []


def test_a_login_that_ran_out_keeps_the_taps_until_its_person_signs_in(
    phone: BrowserContext, live_server: Any, piece: Piece
):
    page = at(phone, f"/pieces/{piece.number}/stages/survey/", live_server)
    phone.clear_cookies(name="sessionid")
    page.locator("#acts").get_by_role("button", name="Start", exact=True).click()
    expect(told(page)).to_contain_text("One tap waits on this phone. Sign in, and they are sent.")
    page.reload()
    page.get_by_label("Name").fill("owner")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    wait_until(lambda: kinds() == ["stage_started"])


@pytest.mark.long
def test_a_glue_up_started_without_signal_is_timed_without_it(
    phone: BrowserContext, live_server: Any, work: Work, slow_piece: Piece
):
    at_the_glue(work, slow_piece)
    glue_up = f"/pieces/{slow_piece.number}/stages/glue-up/"
    page = with_worker(phone, live_server, f"{glue_up}now/", glue_up)
    phone.set_offline(True)
    page.locator("#work").get_by_label("Shop temperature", exact=True).fill("68")
    answer_all(page)
    page.locator("#acts").get_by_role("button", name="Start", exact=True).click()
    page.get_by_role("link", name="Open time and clamps").click()
    page.get_by_role("button", name="First glue on").click()
    page.wait_for_timeout(700)  # no second touch counts at once
    page.get_by_role("button", name="All is clamped").click()
    clamped = timezone.now()
    expect(page.locator("#says")).to_contain_text("kept on this phone", timeout=12_000)
    phone.set_offline(False)
    wait_until(lambda: stage_of(slow_piece, "glue-up").finished_at)
    assert abs(stage_of(slow_piece, "glue-up").finished_at - clamped) < timedelta(seconds=3)
    expect(page.get_by_text("Fill in: glue lot, Desk top")).to_be_visible()
    expect(page.get_by_text("Squeeze-out turning rubbery").first).to_be_visible()


@pytest.mark.long
def test_somebody_else_on_the_same_phone_sends_nothing_of_it(
    phone: BrowserContext, live_server: Any, piece: Piece, maker: Person
):
    survey = f"/pieces/{piece.number}/stages/survey/"
    page = started_without_signal(phone, live_server, survey)
    signed_in(phone, maker, live_server)
    phone.set_offline(False)  # the page is still the owner's, the login is the maker's
    expect(told(page)).to_contain_text("Sign in, and they are sent.")
    page.goto(live_server.url + survey)
    expect(told(page)).to_contain_text("Of somebody else 1 wait here until that person signs in.")
    expect(page.locator("#acts").get_by_role("button", name="Start", exact=True)).to_be_visible()
    assert kinds() == []


def test_whatever_takes_over_a_second_says_so(screen: Page, piece: Piece):
    held: list[Route] = []
    open_page(screen, f"/pieces/{piece.number}/stages/survey/")
    screen.route("**/start/", lambda route: held.append(route))
    screen.locator("#acts").get_by_role("button", name="Start").click(no_wait_after=True)
    expect(screen.locator(".busy")).to_be_visible()
    held[0].continue_()
    expect(screen.get_by_role("button", name="Finish")).to_be_visible()
    expect(screen.locator(".busy")).to_be_hidden()


def test_the_shop_can_be_put_on_the_home_screen(own_phone: Phone, live_server: Any):
    context = own_phone()
    page = with_worker(context, live_server)
    session = context.new_cdp_session(page)
    manifest = session.send("Page.getAppManifest")
    assert manifest["errors"] == []
    read = json.loads(manifest["data"])
    assert (read["name"], read["start_url"], read["display"]) == ("Shop log", "/", "standalone")
    assert {"192x192", "512x512"} <= {icon["sizes"] for icon in read["icons"]}
    assert session.send("Page.getInstallabilityErrors")["installabilityErrors"] == []


def test_what_is_typed_at_the_bench_waits_and_lands_with_its_time(
    phone: BrowserContext, live_server: Any, work: Work, piece: Piece
):
    add_supply(work.call(), kind="glue", name="Slow wood glue", level="full")
    shelf = f"/stock/supplies/{Supply.objects.get().id}/"
    note = f"/pieces/{piece.number}/stages/survey/note/"
    page = with_worker(phone, live_server, "/climate/", shelf, note)
    phone.set_offline(True)
    page.get_by_label("What the next one should know").fill("Measure the stair first.")
    page.get_by_role("button", name="Keep the note").click()
    expect(page.locator(".kept-tap")).to_contain_text("A note for next time")
    expect(page.get_by_label("What the next one should know")).to_have_value("")
    page.goto(live_server.url + "/climate/")
    for warmth in ("66", "68"):  # the same form twice: two readings
        page.get_by_label("Temperature").fill(warmth)
        page.get_by_role("button", name="Keep it").click()
        expect(page.get_by_label("Temperature")).to_have_value("")
    expect(page.locator(".kept-tap")).to_have_count(2)
    assert too_wide(page) <= 0
    page.goto(live_server.url + shelf)
    for n, level in enumerate(("low", "empty"), start=1):  # the first makes the page stale for the second
        page.get_by_label("Level").select_option(level)
        page.get_by_role("button", name="Save the level").click()
        expect(page.locator(".kept-tap")).to_have_count(n)
    expect(told(page)).to_contain_text("5 taps wait")
    typed = timezone.now()
    phone.set_offline(False)
    wait_until(lambda: Supply.objects.get().level == "empty")
    assert [str(r.temp_c) for r in Reading.objects.order_by("at")] == ["18.89", "20.00"]
    moments = [
        *Reading.objects.values_list("at", flat=True),
        *Event.objects.filter(kind__in=["note_written", "supply_level_set"]).values_list(
            "occurred_at", flat=True
        ),
    ]
    assert len(moments) == 5 and all(timedelta() <= typed - at < timedelta(seconds=20) for at in moments)
    expect(page.locator(".kept-tap")).to_have_count(0)
    expect(page.get_by_role("link", name="What waits")).to_be_hidden()
