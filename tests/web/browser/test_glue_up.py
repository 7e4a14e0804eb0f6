"""The glue-up screen: joints closed with a knuckle, clamped without signal, sent later with its moment."""

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from jobs.domain.stages.glue_today import closings_of
from jobs.models import Event, Piece
from tests.shop_fixtures import Work, stage_of
from tests.web.browser.conftest import barriers, open_page, too_wide, wait_until

pytestmark = pytest.mark.takes(25)

GUARD_MS = 700
"""A little more than the time in which a second touch does not count."""


def begun(work: Work, piece: Piece, key: str) -> str:
    """Start a glue-up or a dry fit twenty minutes ago; return the address of its screen."""
    work.do_until(piece, "final-mill")
    work.now = timezone.now() - timedelta(hours=2)
    work.do(piece, "rip", "layout", "joinery")
    if key == "glue-up":
        work.do(piece, "dry-fit")
    work.now = timezone.now() - timedelta(minutes=20)
    warm = {"shop_temperature": "20 C", "wood_and_glue_warm": "yes"}
    work.start(piece, key, measured=warm if key == "glue-up" else {})
    return f"/pieces/{piece.number}/stages/{key}/now/"


def tap(screen: Page) -> None:
    """Touch the knuckle once the guard against a second touch is over."""
    screen.wait_for_timeout(GUARD_MS)
    screen.locator("#knuckle").click()


def test_joint_by_joint_then_clamped_without_signal(screen: Page, work: Work, slow_piece: Piece):
    at = begun(work, slow_piece, "glue-up")
    screen.set_viewport_size({"width": 390, "height": 844})
    open_page(screen, at)
    knuckle, undo = screen.locator("#knuckle"), screen.locator("#undo")
    box = knuckle.bounding_box()
    assert box and box["width"] * box["height"] >= 0.25 * 390 * 844 and too_wide(screen) <= 0
    assert box["y"] + box["height"] <= 844, "in sight without scrolling"
    assert barriers(screen) == [] and screen.locator("main input:visible").count() == 0
    expect(knuckle).to_contain_text("First glue on")
    tap(screen)
    expect(knuckle).to_contain_text("A–B")
    knuckle.click()  # a second touch within 600 ms does nothing
    expect(knuckle).to_contain_text("A–B")
    expect(screen.locator("#spread")).to_contain_text("Glue on every edge within")
    tap(screen)
    expect(knuckle).to_contain_text("B–C")
    undo.click()
    expect(knuckle).to_contain_text("A–B")
    for joint in ("B–C", "C–D"):
        tap(screen)
        expect(knuckle).to_contain_text(joint)
    tap(screen)
    expect(knuckle).to_contain_text("when all clamps are tight")
    expect(screen.locator("#order")).to_be_visible()

    screen.route("**/clamped/", lambda route: route.abort("internetdisconnected"))
    knuckle.focus()
    screen.wait_for_timeout(GUARD_MS)
    screen.keyboard.press("Enter")
    tapped = timezone.now()
    expect(knuckle).to_be_disabled()
    expect(screen.locator("#says")).to_contain_text("kept on this phone", timeout=12_000)
    assert stage_of(slow_piece, "glue-up").step != "done"
    screen.unroute("**/clamped/")
    screen.reload()  # what was tapped survives a reload
    wait_until(lambda: Event.objects.filter(kind="joints_closed").exists(), at_most_s=20)
    finished = Event.objects.get(kind="stage_finished", body__contains='"glue-up"')
    assert abs(finished.occurred_at - tapped) < timedelta(seconds=5)
    closings = closings_of(stage_of(slow_piece, "glue-up").closings)
    assert closings and [one["joint"] for one in closings["joints"]] == ["A-B", "B-C", "C-D"]
    assert all(0 < one["after_s"] < 60 and not one["late_s"] for one in closings["joints"])
    expect(screen.get_by_text("Fill in: glue lot").first).to_be_visible()


def test_clamped_can_be_taken_back_for_a_while_and_all_joints_can_be_skipped(
    screen: Page, work: Work, slow_piece: Piece
):
    at = begun(work, slow_piece, "glue-up")
    screen.clock.install()
    open_page(screen, at)
    screen.get_by_role("button", name="All is clamped").click()
    expect(screen.locator("#knuckle")).to_be_disabled()
    screen.locator("#undo").click()
    expect(screen.locator("#knuckle")).to_contain_text("First glue on")
    screen.clock.run_for(9_000)
    assert stage_of(slow_piece, "glue-up").step == "under way"
    screen.get_by_role("button", name="All is clamped").click()
    screen.clock.run_for(9_000)
    wait_until(lambda: stage_of(slow_piece, "glue-up").finished_at, at_most_s=15)
    assert stage_of(slow_piece, "glue-up").closings == {}


def test_the_time_of_the_dry_fit_fills_its_gate(screen: Page, work: Work, slow_piece: Piece):
    at = begun(work, slow_piece, "dry-fit")
    screen.clock.install()
    open_page(screen, at)
    knuckle = screen.locator("#knuckle")
    knuckle.click()
    for _ in range(3):
        screen.clock.run_for(50_000)
        knuckle.click()
    expect(screen.locator("#time")).to_contain_text("2:3")
    expect(screen.get_by_label("Time to close the dry fit", exact=True)).to_have_value("2.5")
    expect(screen.get_by_role("button", name="Finish the dry fit")).to_be_visible()


HEARD = """
window.asked = 0, window.tones = 0;
const lock = WakeLock.prototype.request, start = OscillatorNode.prototype.start;
WakeLock.prototype.request = async function (kind) {
  window.asked += 1;
  return (window.lock = await lock.call(this, kind));
};
OscillatorNode.prototype.start = function (when) { window.tones += 1; return start.call(this, when); };
"""
NEITHER = """
delete window.AudioContext;
WakeLock.prototype.request = () => Promise.reject(new DOMException("low battery", "NotAllowedError"));
"""


def test_it_sounds_as_time_runs_short_and_keeps_the_screen_on(screen: Page, work: Work, slow_piece: Piece):
    at = begun(work, slow_piece, "glue-up")
    screen.add_init_script(HEARD)
    screen.clock.install()
    open_page(screen, at)
    screen.wait_for_function("window.lock && !window.lock.released")
    says, awake, heard = (screen.locator(f"#{name}") for name in ("says", "awake", "heard"))
    allowed_ms = 1000 * float(screen.locator("#glue").get_attribute("data-allowed") or 0)
    soon_ms = 120_000 if allowed_ms > 120_000 else allowed_ms / 2
    tones = "window.tones"
    screen.locator("#knuckle").click()
    expect(says).to_have_text("left, next joint A–B")
    screen.evaluate("window.tones = 0")
    screen.clock.run_for(int(allowed_ms - soon_ms) - 10_000)
    assert screen.evaluate(f"[{tones}, window.asked]") == [0, 1]
    screen.clock.run_for(12_000)
    expect(says).to_contain_text("Hurry")
    assert screen.evaluate(tones) == 2

    screen.reload()  # a reloaded page may not sound before a touch, and says so
    expect(heard).to_have_text("Touch the screen once, and it sounds when time runs short.")
    screen.locator("h1").click()
    expect(heard).to_have_text("")
    screen.evaluate("window.tones = 0")
    screen.clock.run_for(int(soon_ms) + 20_000)
    expect(says).to_contain_text("The reserve runs. Close now: A–B")
    assert screen.evaluate(tones) >= 2, "a low tone at the end, and again after 15 s"
    screen.locator("h1").click()
    screen.evaluate("window.tones = 0")
    screen.clock.run_for(40_000)
    assert screen.evaluate(tones) == 0, "until somebody touches the screen"
    screen.clock.run_for(int(allowed_ms))
    screen.locator("#knuckle").click()
    expect(screen.locator("#late")).to_contain_text("too late: open it and spread it again")

    screen.wait_for_function("window.lock && !window.lock.released")
    screen.evaluate("window.lock.release()")  # as on a low battery
    expect(awake).to_contain_text("cannot keep the screen on")
    screen.evaluate("document.dispatchEvent(new Event('visibilitychange'))")  # back in sight
    expect(awake).to_have_text("")
    assert screen.evaluate("[window.asked, window.lock.released]") == [2, False]

    screen.add_init_script(NEITHER)
    screen.reload()
    expect(awake).to_contain_text("cannot keep the screen on")
    screen.locator("h1").click()
    expect(heard).to_have_text("This browser gives no sound: keep the time in sight.")


def test_mute_stays_on_the_device(screen: Page, work: Work, slow_piece: Piece):
    open_page(screen, begun(work, slow_piece, "glue-up"))
    screen.get_by_role("button", name="Sound").click()
    screen.reload()
    expect(screen.get_by_role("button", name="Sound")).to_have_attribute("aria-pressed", "false")


@pytest.mark.parametrize("width", [320, 390])
def test_nothing_needed_while_gluing_lies_under_the_fold(
    screen: Page, work: Work, slow_piece: Piece, width: int
):
    at = begun(work, slow_piece, "glue-up")
    screen.set_viewport_size({"width": width, "height": 844})
    open_page(screen, at)
    tap(screen)
    for name in ("time", "says", "spread", "strips", "knuckle", "undo"):
        box = screen.locator(f"#{name}").bounding_box()
        assert box and box["y"] >= 0 and box["y"] + box["height"] <= 844, name
    assert too_wide(screen) <= 0
    assert screen.evaluate("document.documentElement.scrollHeight") < 2 * 844
