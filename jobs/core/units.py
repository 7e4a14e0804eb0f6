"""A person's units for bare numbers, and lengths as they were typed."""

from dataclasses import dataclass

from calcs.kit.length_reading import Length


@dataclass(frozen=True, kw_only=True)
class Units:
    """How a person writes a bare number."""

    length: str = "in"
    temperature: str = "F"


def echo(length: Length) -> str:
    """What was typed; a bare number with the unit it was taken in."""
    has_unit = any(c.isalpha() or c in "'\"\u2032\u2033" for c in length.typed)
    return length.typed if has_unit else f"{length.typed} {length.unit}"


def unit_of(echoed: str, usual: str) -> str:
    """The unit of a length as it is kept beside its figure; ``usual`` where nobody typed it."""
    if not echoed:
        return usual
    return "mm" if echoed.lower().endswith("m") else "in"  # mm, cm, m; no inch or foot is written so
