"""What differs from the shop as it is: for a plan that is only tried, and never saved."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any

Span = tuple[datetime, datetime]


@dataclass(frozen=True, kw_only=True)
class Changes:
    """Changes of the shop's state for one plan.

    Parameters
    ----------
    away, also : mapping
        By person: spans in which they are away, or work although they usually do not.
    first : str
        Number of a commission that goes before all others.
    firm : frozenset
        Numbers of commissions that are planned as if they were accepted now.
    like : tuple
        Numbers of pieces; one more of each is planned as the commission ``NEW``.
    clamps : mapping
        Clamps more, by their reach [1/8 µm].
    inputs : mapping
        By the number of a piece: inputs that it has instead, such as another glue.
    promises : mapping
        By commission: the promised day.
    settled : frozenset
        Numbers of commissions whose boards are on the rack and settled.
    hours : mapping
        By commission: hours of work in all [h], in place of what the log and the calculations say.
    evenings : bool
        Unwanted hours are worked like usual ones.
    unpinned : bool
        Pinned days are left out: they exclude one another.
    """

    away: Mapping[str, tuple[Span, ...]] = field(default_factory=dict)
    also: Mapping[str, tuple[Span, ...]] = field(default_factory=dict)
    first: str = ""
    firm: frozenset[str] = frozenset()
    like: tuple[str, ...] = ()
    clamps: Mapping[int, int] = field(default_factory=dict)
    inputs: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    promises: Mapping[str, date] = field(default_factory=dict)
    settled: frozenset[str] = frozenset()
    hours: Mapping[str, Decimal] = field(default_factory=dict)
    evenings: bool = False
    unpinned: bool = False


NONE = Changes()
NEW = "new"
"""The commission that pieces like others are planned as."""
