"""A whole order on a phone, from the first sign-in to closed: taps and typed fields counted.

A tap is a press of a button, a link, a fold or a choice. A field is one that is typed into; touching it to
type counts as its field. What the client does with the link of the mail is not counted, nor is time: waits
are over as the clock is moved on, and a page that waits for a stage to open asks again by itself. Two people
glue: one alone clamps this top in two goes, which is five stages more.

===================================================  ====  ======
part                                                 taps  fields
===================================================  ====  ======
sign-in and set-up: name of the shop, people            3       4
new commission                                          2       6
quote: price and the client's address, sent             2       2
survey, deposit invoice, deposit, boards                5       1
milling and joinery, to the dry fit                     7       5
dry fit, glue-up, clamps off                           10       4
flat, square, shaped, sanded                            5       3
grain raised, sanded again, four coats                 13       8
final check, wrapped                                    3       2
day of delivery, checklist, delivered                   4       2
invoice, payment                                        2       0
the next action, tapped on bench or commission         14       0
together                                               70      37
===================================================  ====  ======
"""

import os
import re
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db.models import Min
from django.utils import timezone
from playwright.sync_api import Browser, Locator, Page, expect

from jobs.models import Commission, Event, Person, Wait
from jobs.worker.outbox import dispatch_outbox
from tests.mailbox import MailServer, text_of
from tests.shop_fixtures import GOOD, PASSWORD
from tests.web.browser.conftest import open_page

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.takes(70)]

SCREEN = 844
MOST_TAPS, MOST_TYPED = 70, 40
MOST, MOST_OF_A_STAGE = 3 * SCREEN, 2 * SCREEN
STEPS_AT_MOST = 300
HEIGHT = """() => document.documentElement.scrollHeight
    - [...document.querySelectorAll("[data-flash]")].reduce((sum, each) => sum + each.offsetHeight, 0)"""
"""What was just done, with its undo, goes away and is not counted."""
GUARD_MS = 700
"""A little more than the time in which a second touch of the knuckle does not count."""
PAUSE = timedelta(hours=6)
"""For what no wait holds."""


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict[str, Any]) -> dict[str, Any]:
    phone = {"viewport": {"width": 390, "height": SCREEN}, "has_touch": True, "is_mobile": True}
    return {**browser_context_args, **phone}


class Hand:
    """Somebody at the phone: counts what is tapped and typed, part by part, and measures each screen."""

    def __init__(self, screen: Page, shots: Path | None) -> None:
        self.screen, self.shots = screen, shots
        self.parts: dict[str, list[int]] = {}
        self.heights: dict[str, int] = {}
        self.seen = 0

    def part(self, name: str) -> None:
        self.counted = self.parts.setdefault(name, [0, 0])

    def tap(self, there: Locator) -> None:
        self.counted[0] += 1
        there.tap()

    def type(self, field: Locator, text: str) -> None:
        self.counted[1] += 1
        field.fill(text)

    def follow(self, there: Locator) -> None:
        """Tap it and wait for the page it leads to."""
        self.look()
        with self.screen.expect_navigation(wait_until="load"):
            self.tap(there)

    def press(self, name: str) -> None:
        self.follow(self.screen.get_by_role("button", name=name))

    def look(self) -> None:
        """Measure the screen; leave a picture of it where somebody asked."""
        path = re.sub(r"\d{4}-\d{3,}", "N", self.screen.url.split("/", 3)[3].partition("?")[0])
        height = self.screen.evaluate(HEIGHT)
        self.heights[path] = max(height, self.heights.get(path, 0))
        self.seen += 1
        if self.shots:
            name = f"order-{self.seen:03d}-{path.strip('/').replace('/', '-') or 'bench'}.jpg"
            self.screen.screenshot(path=self.shots / name, type="jpeg", quality=70, full_page=True)

    def table(self) -> str:
        rows = [f"{taps:4} {typed:4}  {name}" for name, (taps, typed) in self.parts.items()]
        return "\n".join(["taps typed", *rows, f"{self.taps:4} {self.typed:4}  together"])

    @property
    def taps(self) -> int:
        return sum(taps for taps, _ in self.parts.values())

    @property
    def typed(self) -> int:
        return sum(typed for _, typed in self.parts.values())


class Clock:
    """The time of shop and phone, which can be moved on; the worker's work is done at once."""

    def __init__(self, screen: Page, monkeypatch: pytest.MonkeyPatch) -> None:
        self.screen, self.ahead = screen, timedelta()
        real = timezone.now
        monkeypatch.setattr(timezone, "now", lambda: real() + self.ahead)
        screen.context.clock.install(time=timezone.now())

    def on(self, by: timedelta) -> None:
        self.ahead += by
        self.screen.context.clock.set_system_time(timezone.now())
        self.work()

    def work(self) -> None:
        while dispatch_outbox(timezone.now()):
            pass

    def on_to(self, moment: datetime) -> None:
        self.on(moment - timezone.now() + timedelta(seconds=1))

    def until_a_wait_is_over(self) -> None:
        running = Wait.objects.filter(step=Wait.Step.RUNNING, estimate__ready_at__gt=timezone.now())
        if ready := running.aggregate(first=Min("estimate__ready_at"))["first"]:
            self.on_to(ready)
        else:
            self.on(PAUSE)


@pytest.fixture
def mails(settings: Any, tmp_path: Path) -> Iterator[MailServer]:
    """Return a mail server for a shop that keeps its sessions for longer than an order takes."""
    settings.FILES_DIR = tmp_path / "files"
    settings.FILES_DIR.mkdir()
    settings.SESSION_COOKIE_AGE = int(timedelta(days=400).total_seconds())
    with MailServer() as server:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
        settings.DEFAULT_FROM_EMAIL = "shop@lindenau.example"
        yield server


def set_up(hand: Hand) -> None:
    screen = hand.screen
    hand.part("sign-in and set-up")
    hand.type(screen.get_by_label("Name", exact=True), "owner")
    hand.type(screen.get_by_label("Password", exact=True), PASSWORD)
    hand.press("Sign in")
    hand.type(screen.locator("[name=name]"), "Lindenau Table Works")
    hand.press("Next")
    hand.type(hand.screen.locator("[name=people_at_hand]"), "2")
    hand.press("Next")


def take_down(hand: Hand) -> None:
    hand.part("new commission")
    hand.follow(hand.screen.get_by_role("link", name="Enter your first commission"))
    for label, typed in (
        ("Client", "Orla Fenwick"), ("What they ask for", "Desk by the window"), ("Length", "60"),
        ("Width", "30"), ("Thickness", "1 1/2"), ("Wood", "walnut"),
    ):  # fmt: skip
        hand.type(hand.screen.get_by_label(label, exact=True), typed)
    hand.press("Open the commission")


def quote(hand: Hand) -> None:
    hand.part("quote")
    hand.follow(hand.screen.locator("a.next"))
    hand.type(hand.screen.locator("[name='lines/0/unit_price']"), "2400")
    hand.type(hand.screen.get_by_label("Mail it to"), "orla@fenwick.example")
    hand.press("Send the quote")


def say_yes(browser: Browser, mails: MailServer, seen: str) -> None:
    """Open the link of the quote's mail as the client, and order."""
    link = re.search(r"https?://\S+/c/\S+", text_of(mails.mails[-1]))
    assert link, text_of(mails.mails[-1])
    theirs = browser.new_context(viewport={"width": 390, "height": SCREEN}).new_page()
    theirs.goto(link[0])
    theirs.get_by_label("Your name").fill("Orla Fenwick")
    theirs.get_by_role("button", name="Yes, make it").click()
    expect(theirs.get_by_text(re.compile(seen))).to_be_visible()
    theirs.context.close()


def give(hand: Hand, fields: Locator) -> None:
    """Tick and type what is asked and not known yet: a good day's figures."""
    if (every := hand.screen.locator("[data-tick-all]:visible")).count():
        hand.tap(every)
    for field in fields.all():
        if field.get_attribute("type") == "checkbox":
            if not field.is_checked():
                hand.tap(field)
        elif not field.input_value():
            hand.type(field, GOOD[(field.get_attribute("name") or "").removeprefix("measured.")])


def do_stage(hand: Hand, clock: Clock, key: str) -> None:
    """Do the stage that is open: what it asks, then its one button. One that opens soon is waited for."""
    hand.part(f"stage {key}")
    while (opens := hand.screen.locator("[data-opens] [data-until]")).count():
        clock.on_to(datetime.fromisoformat(opens.first.get_attribute("data-until") or ""))
        hand.screen.reload()
    give(hand, hand.screen.locator(".measures input:visible"))
    for field in hand.screen.locator(".refused.asked").first.locator("input:visible").all():
        gate = field.evaluate("field => field.form.action").rstrip("/").rpartition("/")[2]
        hand.type(field, GOOD[gate])
    hand.follow(hand.screen.locator("#acts").locator(".go, a.also").first)


def at_the_clamps(hand: Hand, key: str) -> None:
    hand.part(f"stage {key}")
    screen = hand.screen
    screen.locator("#glue").wait_for()
    if screen.locator("#glue[data-dry]").count() == 0:
        hand.look()
        hand.tap(screen.get_by_role("button", name="All is clamped"))
        screen.wait_for_url(lambda url: not url.endswith("/now/"), timeout=30_000)
        return
    finish = screen.get_by_role("button", name="Finish the dry fit")
    hand.look()
    hand.tap(screen.locator("#knuckle"))
    screen.wait_for_timeout(GUARD_MS)
    every = screen.locator("#all")
    hand.tap(every if every.is_visible() else screen.locator("#knuckle"))
    give(hand, screen.locator("#finish input:visible"))
    hand.follow(finish)


def work_on(hand: Hand, clock: Clock, *, until: str) -> None:
    """Do what the page before the maker leads to, until the order has come to this step."""
    screen = hand.screen
    for _ in range(STEPS_AT_MOST):
        commission = Commission.objects.get()
        stage = re.search(r"/stages/([\w-]+)/(now/)?", screen.url)
        if commission.step == until:
            return
        if stage:
            at_the_clamps(hand, stage[1]) if stage[2] else do_stage(hand, clock, stage[1])
        elif not screen.url.partition("?")[0].endswith(f"/commissions/{commission.number}/"):
            if (day := screen.locator("[name=day]:visible")).count():
                hand.type(day, str(timezone.localdate() + timedelta(days=1)))
            hand.follow(screen.locator(".stick .go"))
            clock.work()
        elif screen.locator("a.next").count():
            hand.part("next on the commission")
            hand.follow(screen.locator("a.next"))
            if "/stages/" not in screen.url:
                hand.part(re.sub(r"\W*[A-Z]?\d{4}-\d+\W*", " ", screen.url.split("/", 3)[3]).strip())
        else:
            clock.until_a_wait_is_over()
            screen.reload()
    pytest.fail(f"not {until}: {hand.table()}")


def test_from_the_first_sign_in_to_closed(
    watched: Page, owner: Person, mails: MailServer, browser: Browser, settings: Any,
    monkeypatch: pytest.MonkeyPatch,
):  # fmt: skip
    base = settings.PUBLIC_URL = watched.base  # type: ignore[attr-defined]
    shots = Path(os.environ["SHOP_TEST_SHOTS"]) if "SHOP_TEST_SHOTS" in os.environ else None
    if shots:
        shots.mkdir(parents=True, exist_ok=True)
    hand, clock = Hand(watched, shots), Clock(watched, monkeypatch)
    watched.goto(f"{base}/")
    set_up(hand)
    take_down(hand)
    quote(hand)
    clock.work()
    say_yes(browser, mails, "Thank you|ordered|accepted")
    clock.work()
    watched.goto(f"{base}/")
    hand.part("next on the commission")
    hand.follow(watched.locator(".first a.go"))
    work_on(hand, clock, until=Commission.Step.CLOSED)
    hand.look()
    print("", hand.table(), *sorted(hand.heights.items(), key=lambda one: -one[1])[:12], sep="\n")
    expect(watched.get_by_text("Delivered, paid and closed.")).to_be_visible()
    assert {mail["To"] for mail in mails.mails} >= {"orla@fenwick.example"}
    stages = {path: height for path, height in hand.heights.items() if "/stages/" in path}
    assert {path: height for path, height in stages.items() if height >= MOST_OF_A_STAGE} == {}
    assert {path: height for path, height in hand.heights.items() if height > MOST} == {}
    assert hand.taps <= MOST_TAPS and hand.typed <= MOST_TYPED


@pytest.mark.long
def test_small_furniture_without_a_quote_by_taps_alone(
    watched: Page, owner: Person, mails: MailServer, monkeypatch: pytest.MonkeyPatch
):
    hand, clock = Hand(watched, None), Clock(watched, monkeypatch)
    hand.part("all")
    open_page(watched, "/")
    hand.type(watched.get_by_label("Name", exact=True), "owner")
    hand.type(watched.get_by_label("Password", exact=True), PASSWORD)
    hand.press("Sign in")
    for _step in range(2):
        hand.follow(watched.get_by_role("link", name="Skip"))
    hand.follow(watched.get_by_role("link", name="Enter your first commission"))
    for label, typed in (
        ("Client", "Orla Fenwick"), ("What they ask for", "Side table"), ("Length", "40"), ("Width", "20"),
        ("Thickness", "1 1/2"), ("Wood", "white oak"),
    ):  # fmt: skip
        hand.type(watched.get_by_label(label, exact=True), typed)
    hand.tap(watched.get_by_text("Glue, finish, shape"))
    hand.tap(watched.get_by_text("Route, count and cut"))
    watched.get_by_label("Route", exact=True).select_option(label="Small furniture")
    hand.press("Open the commission")
    hand.tap(watched.locator(".chero details.more summary"))
    hand.follow(watched.get_by_role("link", name="Ordered without a quote"))
    hand.type(watched.get_by_label("Price"), "400")
    hand.type(watched.locator("[name=promise_on]"), str(timezone.localdate() + timedelta(days=90)))
    hand.type(watched.locator("[name=deposit]"), "0")
    hand.follow(watched.locator(".stick .go"))
    work_on(hand, clock, until=Commission.Step.DELIVERED)
    left = {s.key for s in Commission.objects.get().pieces.get().stages.all() if s.step == "planned"}
    assert left == {"paid", "close"}
    assert {e.actor for e in Event.objects.exclude(kind="stage_started")} <= {owner.id, "shop", "system"}
