"""Rough thicknesses of yards, their surfaced thickness, and the work that each surfacing leaves.

References
----------
.. [1] NHLA, standard thickness of surfaced hardwood lumber; ``calcs/tables/lumber.csv``.
.. [2] DIN 4071 and EN 1313-2, thicknesses of sawn timber [mm]; ``calcs/tables/lumber_metric.csv``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from calcs.kit.typed import out_of_range
from calcs.kit.units import MOST_UNITS, UNITS_PER_MM, both_units, check_length, inches
from calcs.kit.validators import one_of
from calcs.tables import PRACTICE, cite, rows

QUARTERS = tuple(row["quarters"] for row in rows("lumber"))
MILLIMETRES = tuple(row["thickness"] for row in rows("lumber_metric"))
NAMES = (*QUARTERS, *MILLIMETRES)
COMMON = tuple(name for name in QUARTERS if name not in ("7/4", "14/4"))
"""Thicknesses that a yard is taken to stock where nobody says; common practice, no source."""
PLANING_MM = (
    "surfacing takes 5 mm off boards of up to 41 mm and 6.5 mm off thicker ones, as NHLA's 3/16 and 1/4 in:"
    f" {PRACTICE}"
)
SURFACED = {
    "rough": (
        "flatten one face, plane the other parallel to it",
        "true one edge straight and square to the show face, rip the other to width",
        "cut checked ends off",
    ),
    "S2S": (
        "planed is not flat: check both faces for cup and wind, flatten what shows any",
        "true one edge straight and square to the show face, rip the other to width",
        "cut checked ends off",
    ),
    "S3S": (
        "true the one edge left rough, square to the show face",
        "joint the surfaced edge again before gluing: it was ripped straight, not square to your face",
        "planed is not flat: check both faces for cup and wind, flatten what shows any",
        "cut checked ends off",
    ),
}
"""Work that is left on a board, by how it was bought; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Quarters:
    """Rough thickness of a yard.

    Attributes
    ----------
    quarters : str
        Its name: quarters of an inch such as ``8/4``, or millimetres such as ``52 mm``.
    rough_len : int
        Thickness rough [1/8 µm].
    one_side_len : int or None
        Thickness after one face is surfaced [1/8 µm]; None where no figure is printed.
    surfaced_len : int
        Thickness after both faces [1/8 µm].
    source : tuple of str
        Sources.
    """

    quarters: str
    rough_len: int
    one_side_len: int | None
    surfaced_len: int
    source: tuple[str, ...]


def quarters_for(thickness_len: int) -> Quarters:
    """Return the thinnest thickness of the NHLA table that surfaces to a thickness.

    Parameters
    ----------
    thickness_len : int
        Thickness wanted once surfaced [1/8 µm].

    Returns
    -------
    Quarters

    Raises
    ------
    OutOfRange
        If no standard thickness is thick enough.

    Notes
    -----
    Surfaced thickness is a grading rule, not what a mill must deliver.

    References
    ----------
    .. [1] NHLA, standard thickness of surfaced hardwood lumber; ``calcs/tables/lumber.csv``.

    Examples
    --------
    >>> quarters_for(inches("3/2")).quarters  # the table: 7/4 surfaces to 1 1/2 in
    '7/4'
    """
    check_length(thickness_len, "thickness_len", least=1, most=MOST_UNITS)
    for one in quarters_of(QUARTERS):
        if one.surfaced_len >= thickness_len:
            return one
    raise out_of_range("thickness", both_units(thickness_len), f"at most {both_units(one.surfaced_len)}")


def quarters_of(names: Iterable[str]) -> tuple[Quarters, ...]:
    """Return thicknesses by their names, the thinnest first; refuse a name of none.

    Raises
    ------
    Unknown

    Examples
    --------
    >>> [(one.quarters, one.surfaced_len == inches("7/4")) for one in quarters_of(("52 mm", "8/4"))]
    [('8/4', True), ('52 mm', False)]
    """
    known = _all()
    for name in names:
        one_of(name, "quarters", NAMES)
    return tuple(sorted((known[name] for name in set(names)), key=lambda one: one.rough_len))


@cache
def _all() -> Mapping[str, Quarters]:
    """Return every thickness of both tables by its name."""
    found = [
        Quarters(
            quarters=row["quarters"],
            rough_len=_length(row["rough_in"]),
            one_side_len=_length(row["one_side_in"]) if row["one_side_in"] else None,
            surfaced_len=_length(row["surfaced_in"]),
            source=(cite(row["source"], row["provenance"]),),
        )
        for row in rows("lumber")
    ]
    found += [
        Quarters(
            quarters=row["thickness"],
            rough_len=int(Fraction(row["rough_mm"]) * UNITS_PER_MM),
            one_side_len=None,
            surfaced_len=int(Fraction(row["surfaced_mm"]) * UNITS_PER_MM),
            source=(cite(row["source"], row["provenance"]), PLANING_MM),
        )
        for row in rows("lumber_metric")
    ]
    return {one.quarters: one for one in found}


def _length(text: str) -> int:
    """Return a length of the table, such as ``1 13/16`` inches [1/8 µm]."""
    return inches(sum((Fraction(part) for part in text.split()), Fraction(0)))
