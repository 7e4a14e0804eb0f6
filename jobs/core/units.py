"""A person's units for bare numbers, and lengths as they were typed."""

from dataclasses import dataclass

from calcs.kit.length_reading import Length


@dataclass(frozen=True, kw_only=True)
class Units:
    """The units in which a person writes a bare number."""

    length: str = "in"
    temperature: str = "F"


def echo(length: Length) -> str:
    """Return the typed length; a bare number gets the unit it was read in."""
    has_unit = any(c.isalpha() or c in "'\"\u2032\u2033" for c in length.typed)
    return length.typed if has_unit else f"{length.typed} {length.unit}"


def unit_of(echoed: str, usual: str) -> str:
    """Return the unit of a typed length; ``usual`` where nobody typed it."""
    if not echoed:
        return usual
    return "mm" if echoed.lower().endswith("m") else "in"  # mm, cm, m; no spelling of inch or foot ends so
