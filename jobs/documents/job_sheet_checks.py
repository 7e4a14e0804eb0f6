"""What is ticked and measured at the bench, but what the tables of clampings and coats hold."""

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from jobs.documents.job_sheet_cells import number
from jobs.documents.job_sheet_results import Results, Sheet
from jobs.documents.kit.sizes import Sizes, Way
from jobs.documents.kit.wording import clean

ELSEWHERE = ("office", "road")
"""Places whose checks stand in the office and on the delivery checklist."""
COAT = re.compile(r"(?:seal|build)-\d+")
ONE_OF_SEVERAL = re.compile(r",? \d+ of \d+( \(.*\))?$")
FEW = 3
"""Times that each get room to write; what is done more often is written once, for the worst."""
WRITTEN = {"percent": "%", "minutes": "min", "celsius": "°", "length": "", "code": ""}
"""Units of what is written down at a check."""


def checks(sheet: Sheet, results: Results, sizes: Sizes) -> list[dict[str, Any]]:
    """Return the stages of the bench with their checks; the same one done several times stands once."""
    coated = results.coat_plan is not None and bool(results.coat_plan.calendar)
    glued = results.glue is not None and bool(results.glue.stages)
    found: dict[tuple[str, ...], dict[str, Any]] = {}
    for stage in sheet["checklist"]:
        if not stage["needs_hands"] or stage["place"] in ELSEWHERE:
            continue
        if coated and COAT.fullmatch(stage["stage"]):
            continue
        if glued and stage["place"] == "clamps" and not stage["checks"]:
            continue
        title = ONE_OF_SEVERAL.sub("", clean(stage["title"]))
        one = found.setdefault(
            (title, *stage["checks"]), {"title": title, "times": "", "checks": _checks(stage, sizes)}
        )
        one["times"] += "x"
    return [
        {**one, "written": one["times"][:FEW] if len(one["times"]) <= FEW else "x"} for one in found.values()
    ]


def _checks(stage: Sheet, sizes: Sizes) -> list[dict[str, Any]]:
    """Return the checks of a stage; a sheet frozen before limits were kept has titles alone."""
    measures = stage.get("measures") or [{"title": title, "unit": "yes"} for title in stage["checks"]]
    return [
        {
            "title": clean(sizes.text(one["title"])),
            "write": one["unit"] in WRITTEN,
            "unit": WRITTEN.get(one["unit"], ""),
            "allowed": _allowed(one, sizes),
        }
        for one in measures
    ]


def _allowed(measure: Mapping[str, Any], sizes: Sizes) -> str:
    """Return the limits of a measurement: ``6 to 8``, ``1/16 at most``."""
    least, most = (measure.get(word) for word in ("least", "most"))
    if least is not None and Decimal(least) == 0 and measure["unit"] != "celsius":
        least = None
    low, high = _shown(measure["unit"], least, "up", sizes), _shown(measure["unit"], most, "down", sizes)
    if low and high:
        return f"{low} to {high}"
    return f"{low} at least" if low else f"{high} at most" if high else ""


def _shown(unit: str, value: str | None, way: Way, sizes: Sizes) -> str:
    if value is None:
        return ""
    if unit == "length":
        limit_len = int(Decimal(value))
        return sizes.joint(limit_len, way)
    if unit == "celsius":
        limit_c = Decimal(value)
        return sizes.temperature(limit_c)
    return number(Decimal(value))
