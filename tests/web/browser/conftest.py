"""A real browser at the running service."""

import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from jobs.models import Person
from shop.launch import system

AXE = (Path(__file__).parent / "axe" / "axe.min.js").read_text("utf-8")
"""axe-core 4.14.1, MPL-2.0: rules of WCAG 2.2."""
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.needs("browser"))


@pytest.fixture(scope="session", autouse=True)
def _django_beside_the_browsers_loop() -> Iterator[None]:
    """The browser's driver runs a loop in this thread, where Django would refuse its database calls."""
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    yield
    del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    return {**browser_type_launch_args, "executable_path": system.browser()}


@pytest.fixture
def screen(page: Page, live_server: Any, owner: Person, client: Any) -> Iterator[Page]:
    """The owner's screen, signed in. Whatever the browser complains of fails the test."""
    complaints: list[str] = []
    page.on("console", lambda m: complaints.append(m.text) if m.type in ("error", "warning") else None)
    page.on("pageerror", lambda e: complaints.append(str(e)))
    page.set_default_timeout(8000)
    client.force_login(owner)
    page.context.add_cookies(
        [{"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}]
    )
    page.base = live_server.url  # type: ignore[attr-defined]
    yield page
    expected = (  # a refusal or a lost signal is shown on the page, the browser notes it
        "the server responded with a status of 4",
        "net::ERR_INTERNET_DISCONNECTED",
    )
    assert [c for c in complaints if not any(e in c for e in expected)] == []


def open_page(screen: Page, path: str) -> None:
    screen.goto(screen.base + path)  # type: ignore[attr-defined]


def too_wide(screen: Page) -> int:
    """By how much the page is wider than the screen [px]."""
    return int(screen.evaluate("document.documentElement.scrollWidth - window.innerWidth"))


def barriers(screen: Page) -> list[str]:
    """What axe finds on the page: rule, and the first element it is about."""
    screen.evaluate(AXE)
    found = screen.evaluate("tags => axe.run({runOnly: {type: 'tag', values: tags}})", WCAG)["violations"]
    return [
        f"{v['id']}: {v['nodes'][0]['html'][:120]} ({v['nodes'][0]['failureSummary'][:200]})" for v in found
    ]


def wait_until(told: Any, *, at_most_s: float = 8) -> None:
    end = time.monotonic() + at_most_s
    while not told():
        assert time.monotonic() < end, "it did not come to pass"
        time.sleep(0.1)
