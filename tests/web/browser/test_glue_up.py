"""The glue-up screen: timed, clamped without signal, sent later with its moment."""

from datetime import timedelta

from django.utils import timezone
from playwright.sync_api import Page, expect

from jobs.models import Event, Piece
from tests.shop_fixtures import Work, stage_of
from tests.web.browser.conftest import barriers, open_page, too_wide, wait_until


def begun(work: Work, piece: Piece, key: str) -> None:
    work.do_until(piece, "final-mill")
    work.now = timezone.now() - timedelta(hours=2)
    work.do(piece, "rip", "layout", "joinery")
    if key == "glue-up":
        work.do(piece, "dry-fit")
    work.now = timezone.now() - timedelta(minutes=20)
    warm = {"shop_temperature": "20 C", "wood_and_glue_warm": "yes"}
    work.start(piece, key, measured=warm if key == "glue-up" else {})


def test_clamped_without_signal_is_sent_with_its_moment(screen: Page, work: Work, slow_piece: Piece):
    begun(work, slow_piece, "glue-up")
    screen.set_viewport_size({"width": 360, "height": 740})
    open_page(screen, f"/pieces/{slow_piece.number}/stages/glue-up/")
    screen.get_by_role("link", name="Open time and clamps").click()
    button = screen.locator("#knuckle")
    box = button.bounding_box()
    assert box and box["width"] * box["height"] >= 0.25 * 360 * 740 and too_wide(screen) <= 0
    assert barriers(screen) == []
    screen.get_by_label("Glue lot").fill("L-17")
    button.focus()
    screen.keyboard.press("Space")
    expect(button).to_have_text("Clamped")
    screen.route("**/finish/", lambda route: route.abort("internetdisconnected"))
    screen.keyboard.press("Enter")
    expect(screen.locator("#says")).to_contain_text("kept on this phone")
    tapped = timezone.now()
    assert stage_of(slow_piece, "glue-up").step != "done"
    screen.unroute("**/finish/")
    screen.reload()  # input and clamping time survive a reload
    wait_until(lambda: Event.objects.filter(kind="stage_finished", body__contains='"glue-up"').exists())
    finished = Event.objects.get(kind="stage_finished", body__contains='"glue-up"')
    assert abs(finished.occurred_at - tapped) < timedelta(seconds=5)
    expect(screen.get_by_text("Glue-up: finished after").first).to_be_visible()
    expect(screen.get_by_text("Squeeze-out turning rubbery").first).to_be_visible()


def test_the_time_of_the_dry_fit_fills_its_gate(screen: Page, work: Work, slow_piece: Piece):
    begun(work, slow_piece, "dry-fit")
    screen.clock.install()
    open_page(screen, f"/pieces/{slow_piece.number}/stages/dry-fit/now/")
    screen.locator("#knuckle").click()
    screen.clock.run_for(150_000)
    expect(screen.locator("#time")).to_contain_text("2:3")
    screen.locator("#knuckle").click()
    expect(screen.get_by_label("Time to close the dry fit", exact=True)).to_have_value("2.5")


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
    begun(work, slow_piece, "glue-up")
    screen.add_init_script(HEARD)
    screen.clock.install()
    open_page(screen, f"/pieces/{slow_piece.number}/stages/glue-up/now/")
    screen.wait_for_function("window.lock && !window.lock.released")
    says, awake, heard = (screen.locator(f"#{name}") for name in ("says", "awake", "heard"))
    allowed_ms = 1000 * float(screen.locator("body").get_attribute("data-allowed") or 0)
    screen.locator("#knuckle").click()
    expect(says).to_have_text("Until the last joint has to be closed.")
    screen.clock.run_for(int(allowed_ms - max(60_000, allowed_ms / 4)) - 10_000)
    assert screen.evaluate("[window.tones, window.asked]") == [0, 1]
    screen.clock.run_for(12_000)
    expect(says).to_have_text("Little time is left.")
    assert screen.evaluate("window.tones") == 2

    screen.reload()  # a reloaded page may not sound before a touch, and says so
    expect(heard).to_have_text("Touch the screen once, and it sounds when time runs short.")
    screen.locator("h1").click()
    expect(heard).to_have_text("")
    screen.clock.run_for(1_000)
    assert screen.evaluate("window.tones") == 2
    screen.clock.run_for(int(allowed_ms / 4) + 60_000)
    expect(says).to_contain_text("Past the time")
    assert screen.evaluate("window.tones") == 7
    screen.wait_for_function("window.lock && !window.lock.released")
    screen.evaluate("window.lock.release()")  # as on a low battery
    expect(awake).to_contain_text("cannot keep the screen on")
    screen.evaluate("document.dispatchEvent(new Event('visibilitychange'))")  # back in sight
    expect(awake).to_have_text("")
    assert screen.evaluate("[window.asked, window.lock.released]") == [2, False]

    screen.add_init_script(NEITHER)
    screen.reload()
    expect(awake).to_contain_text("cannot keep the screen on")
    screen.get_by_label("Glue lot").fill("L-17")
    expect(heard).to_have_text("This browser gives no sound: keep the time in sight.")
    screen.locator("#knuckle").click()
    wait_until(lambda: stage_of(slow_piece, "glue-up").finished_at)
