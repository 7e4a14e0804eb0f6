"""Standard rough thicknesses, their surfaced thickness, and the work that each surfacing leaves.

References
----------
.. [1] NHLA, standard thickness of surfaced hardwood lumber; ``calcs/tables/lumber.csv``.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calcs.kit.typed import out_of_range
from calcs.kit.units import MOST_UNITS, UNITS_PER_INCH, both_units, check_length, inches
from calcs.kit.validators import one_of
from calcs.tables import PRACTICE, cite, rows

LONG_TOP_LEN = 96 * UNITS_PER_INCH
LONG_TOP_SURFACED_LEN = inches("1.625")
NAMES = tuple(row["quarters"] for row in rows("lumber"))
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
    """Standard rough thickness.

    Attributes
    ----------
    quarters : str
        Its name, such as ``8/4``: quarters of an inch.
    rough_len : int
        Thickness rough [1/8 µm].
    one_side_len : int or None
        Thickness after one face is surfaced [1/8 µm]; None where no figure is printed.
    surfaced_len : int
        Thickness after both faces [1/8 µm].
    notes, source : tuple of str
        Notes and sources.
    """

    quarters: str
    rough_len: int
    one_side_len: int | None
    surfaced_len: int
    notes: tuple[str, ...]
    source: tuple[str, ...]


def quarters_for(thickness_len: int, *, length_len: int = 0) -> Quarters:
    """Return the thinnest standard rough thickness that surfaces to a finished thickness.

    Parameters
    ----------
    thickness_len : int
        Finished thickness [1/8 µm].
    length_len : int
        Length of the top [1/8 µm]; from 8 ft on a note says what to expect.

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
    for row in rows("lumber"):
        if _length(row["surfaced_in"]) >= thickness_len:
            return _quarters(row, thickness_len, length_len)
    most = f"at most {both_units(_length(rows('lumber')[-1]['surfaced_in']))} from one board"
    raise out_of_range("thickness", both_units(thickness_len), most)


def quarters_above(thickness_len: int) -> Quarters | None:
    """Return the thinnest rough thickness that surfaces to more than this one [1/8 µm]; None above the last.

    Examples
    --------
    >>> above = quarters_above(inches("1.75"))
    >>> above.quarters if above else None
    '10/4'
    """
    for row in rows("lumber"):
        if _length(row["surfaced_in"]) > thickness_len:
            return _quarters(row, thickness_len, 0)
    return None


def quarters_named(name: str, *, thickness_len: int = 1, length_len: int = 0) -> Quarters:
    """Return a standard rough thickness by its name.

    Parameters
    ----------
    name : str
        Such as ``8/4``.
    thickness_len, length_len : int
        Finished thickness, and length of the top [1/8 µm]; notes as for `quarters_for`.

    Raises
    ------
    Unknown
        If there is no such thickness.
    OutOfRange
        If it surfaces to less than ``thickness_len``.
    """
    one_of(name, "quarters", NAMES)
    row = rows("lumber")[NAMES.index(name)]
    stock = _quarters(row, thickness_len, length_len)
    if stock.surfaced_len < thickness_len:
        allowed = f"it surfaces to {both_units(stock.surfaced_len)}; take a thicker one"
        raise out_of_range("quarters", name, allowed)
    return stock


def _quarters(row: dict[str, str], thickness_len: int, length_len: int) -> Quarters:
    """Return one row of the table as a thickness, with its notes."""
    notes = ["surfaced on three sides leaves one edge to true"]
    source = [cite(row["source"], row["provenance"])]
    if row["quarters"] == "8/4" and length_len >= LONG_TOP_LEN and thickness_len > LONG_TOP_SURFACED_LEN:
        notes.insert(
            0, 'tops of 8 ft and more: expect 1 5/8" from 8/4, not 1 3/4"; ask the mill or take 10/4'
        )
        source.append(f'1 5/8" from 8/4 at 8 ft and more: {PRACTICE}')
    return Quarters(
        quarters=row["quarters"],
        rough_len=_length(row["rough_in"]),
        one_side_len=_length(row["one_side_in"]) if row["one_side_in"] else None,
        surfaced_len=_length(row["surfaced_in"]),
        notes=tuple(notes),
        source=tuple(source),
    )


def _length(text: str) -> int:
    """Return a length of the table, such as ``1 13/16`` inches [1/8 µm]."""
    return inches(sum((Fraction(part) for part in text.split()), Fraction(0)))
