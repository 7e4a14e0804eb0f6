"""Grades of abrasive by grain size, and the ladder of grades between two."""

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
    """Mean grain of a grade [µm].

    Raises
    ------
    Unknown
    """
    Choice("grit", GRADES).check(grade, "grit")
    return source_row(grade).median_um


@dataclass(frozen=True, kw_only=True)
class _Row:
    median_um: Decimal
    source: str


@cache
def _table() -> dict[str, _Row]:
    return {
        row["grade"]: _Row(median_um=Decimal(row["median_um"]), source=cite(row["source"], row["provenance"]))
        for row in rows("abrasives")
    }


def source_row(grade: str) -> _Row:
    return _table()[grade]


def is_p(grade: str) -> bool:
    return grade.startswith("P")


def ladder_of(grades: Sequence[str], most: Fraction) -> tuple[str, ...]:
    """The way from the first to the last with the fewest grades, then the least sum of squared steps."""
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
    return Fraction(grain_um(coarse)) / Fraction(grain_um(fine))


def _gap(coarse: str, fine: str, most: Fraction) -> OutOfRange:
    times = places(times_finer(coarse, fine), 2)
    return OutOfRange(
        f"ratio_most {places(most, 2)} leaves no way from {coarse} to {fine}, {times} times finer, and there"
        " is no grit between them",
        field="ratio_most",
        value=places(most, 2),
        allowed=f"at least {times}, or a grit between {coarse} and {fine}",
    )
