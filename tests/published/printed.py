"""Reads the printed figures the checks compare with: data/, source and provenance in each row."""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path


def rows(name: str) -> list[dict[str, str]]:
    with (Path(__file__).parent / "data" / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def half_a_place(printed: str) -> Fraction:
    """Half of the last decimal place of a printed figure: what its rounding allows.

    Examples
    --------
    >>> half_a_place("0.067")
    Fraction(1, 2000)
    """
    decimals = len(printed.partition(".")[2])
    return Fraction(1, 2 * 10**decimals)


def mixed(printed: str) -> Fraction:
    """A printed figure such as ``83 1/3``.

    Examples
    --------
    >>> mixed("83 1/3")
    Fraction(250, 3)
    """
    return sum((Fraction(part) for part in printed.split()), Fraction(0))
