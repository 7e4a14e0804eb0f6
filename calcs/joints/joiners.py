"""Biscuits, dowels and loose tenons by size."""

from __future__ import annotations

from dataclasses import dataclass

from calcs.kit.length_reading import parse_length
from calcs.kit.units import inches
from calcs.kit.validators import one_of
from calcs.tables import cite, rows

NAMES = tuple(row["joiner"] for row in rows("joiners"))
ROOM_LEN = inches("1/32")
"""Slot deeper than half the joiner, for glue; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Joiner:
    """One size of joiner; lengths in 1/8 µm.

    Attributes
    ----------
    name : str
        Its name in the table.
    along_len, into_len, thick_len : int
        Size along the joint, into both strips together, and thickness.
    depth_len : int
        Depth of the slot in each strip: half of ``into_len`` and 1/32 in for glue.
    source : str
        Source with its provenance.
    """

    name: str
    along_len: int
    into_len: int
    thick_len: int
    depth_len: int
    source: str


def joiner(name: str) -> Joiner:
    """Return a joiner by its name in ``calcs/tables/joiners.csv``.

    Raises
    ------
    Unknown
        Listing the nearest names.
    """
    one_of(name, "joiner", NAMES)
    row = rows("joiners")[NAMES.index(name)]
    along, into, thick = (parse_length(row[size], unit="in").units for size in ("along", "into", "thick"))
    return Joiner(
        name=name,
        along_len=along,
        into_len=into,
        thick_len=thick,
        depth_len=into // 2 + ROOM_LEN,
        source=cite(row["source"], row["provenance"]),
    )
