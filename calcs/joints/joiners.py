"""Biscuits, dowels and loose tenons by size, and the slots that are cut for them.

The slot of a biscuit is cut by a round blade that is pushed in. At the edge it is as long as the chord of the
blade at that depth, so longer than the biscuit.

References
----------
.. [1] Public encyclopaedia page on biscuit joiners: a nominal 4 in or 100 mm blade, slots a little longer
   than the biscuits (read).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isqrt

from calcs.kit.length_reading import parse_length
from calcs.kit.units import inches
from calcs.kit.validators import one_of
from calcs.tables import cite, rows

NAMES = tuple(row["joiner"] for row in rows("joiners"))
BISCUIT = "biscuit 20"
ROOM_LEN = inches("1/32")
"""Slot deeper than half the joiner, for glue; common practice, no source."""


BLADE = (
    "slot as long as the chord of a 4 in blade: geometry; nominal blade of 4 in or 100 mm (read), the larger"
)


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
    slot_len : int
        Length of the slot at the edge: of a biscuit the chord of the blade, else ``along_len``.
    source : str
        Source with its provenance.
    """

    name: str
    along_len: int
    into_len: int
    thick_len: int
    depth_len: int
    slot_len: int
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
    depth = into // 2 + ROOM_LEN
    blade = parse_length(row["blade"], unit="in").units if row["blade"] else None
    return Joiner(
        name=name,
        along_len=along,
        into_len=into,
        thick_len=thick,
        depth_len=depth,
        slot_len=along if blade is None else chord(blade, depth),
        source=cite(row["source"], row["provenance"]) + (f"; {BLADE}" if blade else ""),
    )


def usual_joiner(kind: str, thickness_len: int) -> Joiner:
    """Return the usual joiner of a kind for boards of a thickness.

    Parameters
    ----------
    kind : str
        ``biscuit``, ``dowel`` or ``loose tenon``.
    thickness_len : int
        Thickness of the boards [1/8 µm].

    Notes
    -----
    Of biscuits the largest. Of dowels the thinnest between a third and half of the thickness. Else the
    thickest of up to a third, and the thinnest of its kind where none is so thin.

    References
    ----------
    .. [1] Page on the dowel rule of thirds and half (read); page on proportions of mortise and tenon (read).

    Examples
    --------
    >>> usual_joiner("dowel", inches("3/4")).name, usual_joiner("loose tenon", inches("3/4")).name
    ('dowel 5/16', 'loose tenon 1/4')
    """
    if kind == "biscuit":
        return joiner(BISCUIT)
    sizes = sorted((joiner(n) for n in NAMES if n.startswith(kind)), key=lambda size: size.thick_len)
    if kind == "dowel":
        for size in sizes:
            if 2 * size.thick_len <= thickness_len <= 3 * size.thick_len:
                return size
    fit = [size for size in sizes if 3 * size.thick_len <= thickness_len]
    return fit[-1] if fit else sizes[0]


def chord(blade: int, depth: int) -> int:
    """Return the length that a round blade cuts at an edge [1/8 µm].

    Parameters
    ----------
    blade, depth : int
        Diameter of the blade, and depth that it is pushed in [1/8 µm].

    Notes
    -----
    Chord = 2 sqrt(depth (diameter - depth)), rounded down to 1/8 µm.

    Examples
    --------
    >>> chord(100, 50), chord(100, 10)  # half-way in the diameter; 2 sqrt(10 x 90) = 60
    (100, 60)
    """
    return isqrt(4 * depth * (blade - depth))
