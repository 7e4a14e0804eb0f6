"""Tables of the benchmarks of the plan: printed, and written into the page with their date and machine."""

import os
import platform
import re
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

PAGE = Path(__file__).parent / "README.md"
ORDER = ("shop", "replan", "many", "rcpsp", "rcpsp_max", "calibration")
"""Sections of the page, each between a pair of marks."""


def publish(
    section: str, title: str, header: Sequence[str], rows: Sequence[Sequence[object]], note: str
) -> None:
    """Print a table and put it in its section of the page, in place of what stands there."""
    shown = "\n".join([f"## {title}", "", *table(header, rows), "", note, "", machine()])
    print(f"\n{shown}")
    PAGE.write_text(replaced(PAGE.read_text("utf-8"), section, shown), "utf-8")


def table(header: Sequence[str], rows: Sequence[Sequence[object]]) -> list[str]:
    lines = [header, ["---"] * len(header), *rows]
    return ["| " + " | ".join(said(cell) for cell in line) + " |" for line in lines]


def said(cell: object) -> str:
    return f"{cell:.3f}" if isinstance(cell, float) else str(cell)


def machine() -> str:
    day, load = datetime.now(UTC).date(), os.getloadavg()[0]
    python = platform.python_version()
    return f"Measured on {day}, {os.cpu_count()} cores, Python {python}, load {load:.1f} at the end."


def replaced(page: str, section: str, shown: str) -> str:
    """Return the page with what a section shows; ValueError if the page has no such section."""
    begin, end = f"<!-- {section} -->", f"<!-- end of {section} -->"
    pattern = re.compile(re.escape(begin) + ".*?" + re.escape(end), re.DOTALL)
    if not pattern.search(page):
        raise ValueError(f"{PAGE.name} has no section {section!r}; it has {', '.join(ORDER)}")
    return pattern.sub(lambda _: f"{begin}\n{shown}\n{end}", page)
