"""A real browser at the running service."""

import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from playwright.sync_api import Page

from jobs.models import Person
from shop.launch import system

AXE = (Path(__file__).parent / "axe" / "axe.min.js").read_text("utf-8")
"""axe-core 4.14.1, MPL-2.0: rules of WCAG 2.2."""
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if item.path.parent == here:
            item.add_marker(pytest.mark.needs("browser"))


@pytest.fixture(scope="session", autouse=True)
def _django_beside_the_browsers_loop() -> Iterator[None]:
    """Allow database calls: the browser's driver runs a loop in this thread, where Django refuses them."""
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    yield
    del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    return {**browser_type_launch_args, "executable_path": system.browser()}


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict[str, Any]) -> dict[str, Any]:
    """Block service workers: pages come from the service; kept pages have separate tests."""
    return {**browser_context_args, "service_workers": "block"}


@pytest.fixture
def watched(page: Page, live_server: Any) -> Iterator[Page]:
    """Return a screen at the running service; any complaint of the browser fails the test."""
    complaints: list[str] = []
    page.on("console", lambda m: complaints.append(m.text) if m.type in ("error", "warning") else None)
    page.on("pageerror", lambda e: complaints.append(str(e)))
    page.set_default_timeout(20_000)  # a first page on a busy machine
    page.base = live_server.url  # type: ignore[attr-defined]
    yield page
    expected = (  # the page shows a refusal or a lost signal, and the browser logs it
        "the server responded with a status of 4",
        "net::ERR_INTERNET_DISCONNECTED",
        "Service Worker registration blocked",
    )
    assert [c for c in complaints if not any(e in c for e in expected)] == []


@pytest.fixture
def screen(watched: Page, owner: Person) -> Page:
    """Return the owner's screen, signed in."""
    sign_in(watched, owner)
    return watched


def sign_in(screen: Page, person: Person) -> None:
    """Sign in by a session cookie: the sign-in page has separate tests."""
    http = Client()
    http.force_login(person)
    cookie = {"name": "sessionid", "value": http.cookies["sessionid"].value}
    screen.context.add_cookies([{**cookie, "url": screen.base}])  # type: ignore[attr-defined]


def open_page(screen: Page, path: str) -> None:
    screen.goto(screen.base + path)  # type: ignore[attr-defined]


def too_wide(screen: Page) -> int:
    """Return by how much the page is wider than the screen [px]."""
    return int(screen.evaluate("document.documentElement.scrollWidth - window.innerWidth"))


def barriers(screen: Page) -> list[str]:
    """Return what axe finds on the page: rule, and the first element it is about."""
    screen.evaluate(AXE)
    asked = {"runOnly": {"type": "tag", "values": WCAG}, "resultTypes": ["violations"]}
    found = screen.evaluate("asked => axe.run(asked)", asked)["violations"]
    return [
        f"{v['id']}: {v['nodes'][0]['html'][:120]} ({v['nodes'][0]['failureSummary'][:200]})" for v in found
    ]


def wait_until(told: Any, *, at_most_s: float = 8) -> None:
    end = time.monotonic() + at_most_s
    while not told():
        assert time.monotonic() < end, "it did not come to pass"
        time.sleep(0.1)
