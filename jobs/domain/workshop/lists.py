"""Settings that are lists: places, thicknesses, what a quote includes."""

from typing import Any

from calcs.lumber.quarters import NAMES, quarters_of
from jobs.core.errors import Invalid

MOST_PLACES = 12
MOST_QUOTED, LONGEST_QUOTED = 20, 180
QUOTED = ("quote_included", "quote_excluded")
"""Lists of what every quote says is included, and what is not."""


def read_places(value: Any) -> list[str]:
    """Return the places where readings are taken; the first is the default place."""
    places = [p.strip() for p in value.split(",")] if isinstance(value, str) else value
    if not (
        isinstance(places, list)
        and 1 <= len(places) <= MOST_PLACES
        and len(set(places)) == len(places)
        and all(isinstance(p, str) and 0 < len(p) <= 40 and p.isprintable() for p in places)
    ):
        allowed = f"1 to {MOST_PLACES} different names of up to 40 characters"
        raise Invalid("not a list of places", field="places", value=str(value)[:60], allowed=allowed)
    return places


def read_quoted(name: str, value: Any) -> list[str]:
    """Return the lines of what a quote includes or leaves out; none is allowed."""
    typed = value.splitlines() if isinstance(value, str) else value
    lines = [line.strip() for line in typed if line.strip()] if _are_texts(typed) else None
    if lines is None or len(lines) > MOST_QUOTED or any(len(line) > LONGEST_QUOTED for line in lines):
        allowed = f"up to {MOST_QUOTED} lines of up to {LONGEST_QUOTED} letters"
        raise Invalid("not a list of lines", field=name, value=str(value)[:60], allowed=allowed)
    return lines


def _are_texts(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(one, str) and one.isprintable() for one in value)


def read_thicknesses(value: Any) -> list[str]:
    """Return the rough thicknesses that the yard stocks, the thinnest first."""
    names = [name.strip() for name in value.split(",")] if isinstance(value, str) else value
    if not (isinstance(names, list) and names and all(name in NAMES for name in names)):
        raise Invalid(
            "not a list of rough thicknesses", field="stocked_thicknesses", value=str(value)[:60],
            allowed=f"some of {', '.join(NAMES)}",
        )  # fmt: skip
    return [one.quarters for one in quarters_of(names)]
