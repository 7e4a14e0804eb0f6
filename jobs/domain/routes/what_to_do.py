"""What to do at a stage, verb first, beside the title that says what is done."""

import re
from collections.abc import Mapping
from functools import cache
from typing import Any

from jobs.domain.routes.schema import HERE, read_text

WHICH = re.compile(r"(?P<plain>.+?)(?P<which>, \d+ of \d+(?: \((?P<makes>.+)\))?)?$")


def what_to_do(spec: Mapping[str, Any]) -> str:
    """Return what to do at a stage of a template: *Rip the strips*.

    A stage that was laid before templates said so takes the words of the service's own stage of that title,
    else its title.
    """
    if told := spec.get("do"):
        return str(told)
    title = str(spec["title"])
    found = WHICH.fullmatch(title)
    usual = _usual_words().get(found["plain"]) if found else None
    if found is None or usual is None:
        return title
    return of_clamping(usual, found["makes"]) if found["makes"] else usual + (found["which"] or "")


def of_clamping(do: str, makes: str) -> str:
    """Return what to do at one of several clampings, by the panel it makes: *Glue up the top, A–C*."""
    return f"{do}, {makes.replace('-', '–')}"


@cache
def _usual_words() -> dict[str, str]:
    """Return what the service's own templates say to do, by the title of the stage."""
    files = (path for path in sorted(HERE.glob("*.toml")) if path.name != "cautions.toml")
    routes = [read_text(path.read_text("utf-8"), path.name) for path in files]
    stages = (stage for route in routes for stage in (*route.stages, *route.between.values()))
    return {stage["title"]: stage["do"] for stage in stages if "do" in stage}
