"""Grades of abrasive by mean grain size, and the ladder of grades between two of them.

P grades are bands of grain size, CAMI grades averages. Sizes are therefore compared inside one standard only.

References
----------
.. [1] ISO 6344-2 and -3 (FEPA 43-1, 43-2) and ANSI B74.18, mean grain sizes as tabulated at second hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache

from calcs.asking.field_types import Choice
from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import places
from calcs.tables import cite, rows

GRADES = tuple(row["grade"] for row in rows("abrasives"))
"""P40 to P1200 of the P standard, then 40 to 600 of the CAMI standard, coarse to fine in each."""


def grain_um(grade: str) -> Decimal:
    """Return the mean grain of a grade [µm].

    Parameters
    ----------
    grade : str
        ``P80`` of the P standard, ``80`` of CAMI.

    Raises
    ------
    Unknown
        Listing the nearest grades.

    References
    ----------
    .. [1] ISO 6344-2 and -3 (FEPA 43-1, 43-2) and ANSI B74.18, mean grain sizes as tabulated at second hand.
    """
    Choice("grit", GRADES).check(grade, "grit")
    return source_row(grade).median_um


@dataclass(frozen=True, kw_only=True)
class _Row:
    """One grade of the table: mean grain [µm] and source."""

    median_um: Decimal
    source: str


@cache
def _table() -> dict[str, _Row]:
    """Return every grade of ``calcs/tables/abrasives.csv``."""
    return {
        row["grade"]: _Row(median_um=Decimal(row["median_um"]), source=cite(row["source"], row["provenance"]))
        for row in rows("abrasives")
    }


def source_row(grade: str) -> _Row:
    """Return the row of a grade: its grain size and its source."""
    return _table()[grade]


def is_p(grade: str) -> bool:
    """Return True for a grade of the P standard."""
    return grade.startswith("P")


def ladder_of(grades: Sequence[str], most: Fraction) -> tuple[str, ...]:
    """Return the way from the first grade to the last with the fewest grades, then the evenest.

    Parameters
    ----------
    grades : sequence of str
        Grades at hand of one standard, coarse to fine.
    most : Fraction
        How many times finer one grade may be than the one before.

    Returns
    -------
    tuple of str
        Grades in order, first and last among them.

    Raises
    ------
    OutOfRange
        If two neighbouring grades are further apart than ``most``.

    Notes
    -----
    Dynamic programme over the grades. A way is better with fewer grades, then with a smaller sum of squared
    ratios.
    """
    best: dict[str, tuple[int, Fraction, tuple[str, ...]]] = {grades[0]: (1, Fraction(0), (grades[0],))}
    for n, grade in enumerate(grades[1:], start=1):
        reached = [
            (count + 1, squares + times_finer(before, grade) ** 2, (*way, grade))
            for before, (count, squares, way) in best.items()
            if times_finer(before, grade) <= most
        ]
        if not reached:
            raise _gap(grades[n - 1], grade, most)
        best[grade] = min(reached)
    return best[grades[-1]][2]


def times_finer(coarse: str, fine: str) -> Fraction:
    """Return how many times finer the second grade is than the first, by mean grain."""
    return Fraction(grain_um(coarse)) / Fraction(grain_um(fine))


def _gap(coarse: str, fine: str, most: Fraction) -> OutOfRange:
    """Return the refusal of two neighbouring grades that are too far apart."""
    times = places(times_finer(coarse, fine), 2)
    return OutOfRange(
        f"ratio_most {places(most, 2)} leaves no way from {coarse} to {fine}, {times} times finer, and there"
        " is no grit between them",
        field="ratio_most",
        value=places(most, 2),
        allowed=f"at least {times}, or a grit between {coarse} and {fine}",
    )
