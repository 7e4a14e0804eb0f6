"""Pieces of a beam: stiffness with shear, load shares, and the banded solve.

Each node has two unknowns, sag and slope. A piece joins four of them, so all couplings lie within three of
the diagonal.

References
----------
.. [1] J. S. Przemieniecki, Theory of Matrix Structural Analysis, McGraw-Hill, 1968, section 5.6 (from
   memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

BAND = 3  # an unknown meets those of the same and of the neighbouring nodes


@dataclass(frozen=True, kw_only=True)
class Beam:
    """Beam and its supports.

    Parameters
    ----------
    length : float
        Length [m].
    supports : tuple of float
        Distances from the left end [m], rising.
    ei, ga : float
        Bending stiffness [N·m²]; shear stiffness with its form factor [N], infinite for bending alone.
    clamped : bool
        True where the outermost supports also hold the slope; inner ones never do.
    """

    length: float
    supports: tuple[float, ...]
    ei: float
    ga: float = float("inf")
    clamped: bool = False


def _stiffness(size: float, beam: Beam) -> list[list[float]]:
    """Return the stiffness of one piece for its end sags and slopes, 4 x 4 [N/m, N, N·m].

    Notes
    -----
    With φ = 12 EI / (GA L²) and k = EI / (L³ (1 + φ)), the rows are
    k (12, 6L, -12, 6L), k (6L, (4 + φ) L², -6L, (2 - φ) L²), and so on by symmetry.

    References
    ----------
    .. [1] J. S. Przemieniecki, Theory of Matrix Structural Analysis, McGraw-Hill, 1968, section 5.6 (from
       memory).
    """
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
    """Add the stiffness of a piece to the band matrix, and its share of the uniform load to the forces.

    Parameters
    ----------
    matrix : list of list of float
        Rows of the band: the diagonal at `BAND`, three entries either side.
    forces : list of float
        Right-hand side [N, N·m].
    n : int
        Number of the piece; it joins nodes n and n + 1.
    size : float
        Length of the piece [m].
    beam : Beam
        Stiffness.
    uniform : float
        Load [N/m].
    """
    stiff = _stiffness(size, beam)
    for row in range(4):
        for column in range(4):
            matrix[2 * n + row][column - row + BAND] += stiff[row][column]
    for row, share in enumerate(_spread(size, uniform)):
        forces[2 * n + row] += share


def _spread(size: float, uniform: float) -> tuple[float, float, float, float]:
    """Return the end forces and moments of a uniform load on one piece: w L / 2 and w L² / 12 [N, N·m]."""
    end, turn = uniform * size / 2, uniform * size**2 / 12
    return end, turn, end, -turn


def solve(matrix: Sequence[Sequence[float]], forces: Sequence[float], held: set[int]) -> list[float]:
    """Return all displacements [m, rad], with the held ones at zero.

    Parameters
    ----------
    matrix, forces
        As `add_piece` leaves them.
    held : set of int
        Unknowns that supports hold.

    Notes
    -----
    Gaussian elimination within the band, without pivoting: the matrix is symmetric and positive once it is
    held.
    """
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
    """Return forces and moments at both ends of a piece from its displacements [N, N·m].

    Notes
    -----
    f = K u - f₀, with f₀ the end forces of the uniform load on a piece held at both ends.
    """
    stiff, spread = _stiffness(size, beam), _spread(size, uniform)
    return [sum(stiff[row][column] * moved[column] for column in range(4)) - spread[row] for row in range(4)]
