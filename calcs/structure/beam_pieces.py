"""Stiffness of a straight piece of a beam, and the equations of all pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

BAND = 3  # an unknown meets those of its own and of the neighbouring node


@dataclass(frozen=True, kw_only=True)
class Beam:
    """A beam and what holds it.

    Parameters
    ----------
    length : float
        [m].
    supports : tuple of float
        Distances from the left end [m], rising.
    ei, ga : float
        Bending stiffness [N·m²]; shear stiffness with its form factor [N], infinite for bending alone.
    clamped : bool
        Whether the outermost supports also hold the slope; inner ones never do.
    """

    length: float
    supports: tuple[float, ...]
    ei: float
    ga: float = float("inf")
    clamped: bool = False


def _stiffness(size: float, beam: Beam) -> list[list[float]]:
    shear = 12 * beam.ei / (beam.ga * size**2)
    unit = beam.ei / (size**3 * (1 + shear))
    near, far = (4 + shear) * size**2, (2 - shear) * size**2
    return [
        [12 * unit, 6 * size * unit, -12 * unit, 6 * size * unit],
        [6 * size * unit, near * unit, -6 * size * unit, far * unit],
        [-12 * unit, -6 * size * unit, 12 * unit, -6 * size * unit],
        [6 * size * unit, far * unit, -6 * size * unit, near * unit],
    ]


def add_piece(
    matrix: list[list[float]], forces: list[float], n: int, size: float, beam: Beam, uniform: float
) -> None:
    stiff = _stiffness(size, beam)
    for row in range(4):
        for column in range(4):
            matrix[2 * n + row][column - row + BAND] += stiff[row][column]
    for row, share in enumerate(_spread(size, uniform)):
        forces[2 * n + row] += share


def _spread(size: float, uniform: float) -> tuple[float, float, float, float]:
    end, turn = uniform * size / 2, uniform * size**2 / 12
    return end, turn, end, -turn


def solve(matrix: Sequence[Sequence[float]], forces: Sequence[float], held: set[int]) -> list[float]:
    """Elimination within the band, without pivoting: the matrix is symmetric and positive once held."""
    count = len(forces)
    rows = [list(row) for row in matrix]
    right = list(forces)
    for unknown in held:
        for other in range(max(0, unknown - BAND), min(count, unknown + BAND + 1)):
            rows[other][unknown - other + BAND] = 0.0
        rows[unknown] = [0.0] * BAND + [1.0] + [0.0] * BAND
        right[unknown] = 0.0
    for pivot in range(count):
        for below in range(pivot + 1, min(count, pivot + BAND + 1)):
            factor = rows[below][pivot - below + BAND] / rows[pivot][BAND]
            if factor:
                for column in range(pivot, min(count, pivot + BAND + 1)):
                    rows[below][column - below + BAND] -= factor * rows[pivot][column - pivot + BAND]
                right[below] -= factor * right[pivot]
    found = [0.0] * count
    for row in reversed(range(count)):
        known = sum(
            rows[row][column - row + BAND] * found[column]
            for column in range(row + 1, min(count, row + BAND + 1))
        )
        found[row] = (right[row] - known) / rows[row][BAND]
    return found


def end_forces(size: float, moved: Sequence[float], beam: Beam, uniform: float) -> list[float]:
    stiff, spread = _stiffness(size, beam), _spread(size, uniform)
    return [sum(stiff[row][column] * moved[column] for column in range(4)) - spread[row] for row in range(4)]
