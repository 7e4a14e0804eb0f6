"""Straight beam over any supports: direct stiffness with shear, in SI units.

Every span is cut into short pieces. Displacements at their ends are exact for the theory; the largest sag
between them is taken from the parabola through the three nearest.

References
----------
.. [1] J. S. Przemieniecki, Theory of Matrix Structural Analysis, McGraw-Hill, 1968, section 5.6 (from
   memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from calcs.structure.beam_pieces import BAND, Beam, add_piece, end_forces, solve

PIECES = 16
"""Pieces that the longest stretch between supports, loads and ends is cut into; shorter ones into fewer."""
_CLOSE = 1e-3  # [m]; places nearer than this count as one, else the solve would lose its digits
_ROUNDING = 1e-9


@dataclass(frozen=True, kw_only=True)
class Bent:
    """The bent beam.

    Attributes
    ----------
    places, sags : tuple of float
        Place and sag of every node [m]; down is positive.
    moments : tuple of (float, float, float)
        Moments of every piece at its left end, at its extreme within, and at its right end [N·m]; sagging is
        positive.
    reactions : tuple of float
        Upward forces of the supports, in their order [N].
    """

    places: tuple[float, ...]
    sags: tuple[float, ...]
    moments: tuple[tuple[float, float, float], ...]
    reactions: tuple[float, ...]

    def deepest(self, low: float, high: float) -> tuple[float, float]:
        """Return where, and how far, the beam leaves its straight line most between two places [m, m].

        Notes
        -----
        Inside the span the vertex of the parabola through three nodes is taken; at its ends the node itself.
        """
        inside = [n for n, x in enumerate(self.places) if low - _CLOSE <= x <= high + _CLOSE]
        most = max(inside, key=lambda n: abs(self.sags[n]))
        if most in (inside[0], inside[-1]):
            return self.places[most], self.sags[most]
        return _top_of_parabola(self.places[most - 1 : most + 2], self.sags[most - 1 : most + 2])

    def largest_moment(self) -> float:
        """Return the moment of the largest magnitude [N·m]."""
        return max((moment for piece in self.moments for moment in piece), key=abs)


def bend(beam: Beam, *, uniform: float, points: Iterable[tuple[float, float]] = ()) -> Bent:
    """Return a beam bent under a uniform load and point loads, both down.

    Parameters
    ----------
    beam : Beam
        Length and supports [m], stiffness [N·m², N].
    uniform : float
        Load over the whole length [N/m].
    points : iterable of (float, float)
        Place [m] and force [N] of each point load.

    Returns
    -------
    Bent

    Notes
    -----
    Timoshenko pieces with exact end displacements; small deflections, one material, plane bending. Point
    loads sit on nodes. Places nearer than 1 mm count as one.

    References
    ----------
    .. [1] J. S. Przemieniecki, Theory of Matrix Structural Analysis, McGraw-Hill, 1968, section 5.6:
       stiffness of a beam element with shear (from memory).

    Examples
    --------
    A uniform load on a simple span sags 5 w L⁴ / (384 EI) in the middle: 5 / 384 = 0.01302.

    >>> from calcs.structure.beam_pieces import Beam
    >>> bent = bend(Beam(length=1.0, supports=(0.0, 1.0), ei=1.0), uniform=1.0)
    >>> round(bent.deepest(0.0, 1.0)[1], 5)
    0.01302
    """
    loads = tuple(points)
    places = _places(beam, [x for x, _ in loads])
    count = 2 * len(places)
    matrix = [[0.0] * (2 * BAND + 1) for _ in range(count)]
    forces = [0.0] * count
    for n, (left, right) in enumerate(pairwise(places)):
        add_piece(matrix, forces, n, right - left, beam, uniform)
    for place, force in loads:
        forces[2 * _nearest(places, place)] += force
    held = _held(beam, places)
    moved = solve(matrix, forces, held)
    return Bent(
        places=places,
        sags=tuple(moved[::2]),
        moments=_moments(places, moved, beam, uniform),
        reactions=tuple(_reaction(matrix, forces, moved, 2 * _nearest(places, x)) for x in beam.supports),
    )


def _places(beam: Beam, loads: Sequence[float]) -> tuple[float, ...]:
    """Return the nodes: ends, supports and loads, with the stretches between cut into an even number of
    pieces [m].
    """
    marks: list[float] = []
    for x in sorted((0.0, beam.length, *beam.supports, *loads)):
        if not marks or x - marks[-1] > _CLOSE:
            marks.append(x)
    step = max(b - a for a, b in pairwise(marks)) / PIECES
    cut = []
    for a, b in pairwise(marks):
        count = 2 * ceil((b - a) / step / 2 - _ROUNDING)
        cut += [a + (b - a) * n / count for n in range(count)]
    return (*cut, marks[-1])


def _nearest(places: Sequence[float], place: float) -> int:
    """Return the number of the node nearest to a place."""
    return min(range(len(places)), key=lambda n: abs(places[n] - place))


def _held(beam: Beam, places: Sequence[float]) -> set[int]:
    """Return the numbers of the unknowns that supports hold: sags, and the outermost slopes if clamped."""
    at = [_nearest(places, x) for x in beam.supports]
    slopes = {2 * at[0] + 1, 2 * at[-1] + 1} if beam.clamped else set()
    return {2 * n for n in at} | slopes


def _moments(
    places: Sequence[float], moved: Sequence[float], beam: Beam, uniform: float
) -> tuple[tuple[float, float, float], ...]:
    """Return the moments of every piece: left end, extreme within, right end [N·m].

    Notes
    -----
    M(x) = M_left + V x - w x² / 2. The extreme within lies where the shear force is zero.
    """
    found = []
    for n, (left, right) in enumerate(pairwise(places)):
        ends = end_forces(right - left, moved[2 * n : 2 * n + 4], beam, uniform)
        flat = -ends[0] / uniform if uniform else 0.0  # where the shear force is none
        within = ends[1] - ends[0] * flat - uniform * flat**2 / 2 if 0 < flat < right - left else ends[1]
        found.append((ends[1], within, -ends[3]))
    return tuple(found)


def _reaction(
    matrix: Sequence[Sequence[float]], forces: Sequence[float], moved: Sequence[float], unknown: int
) -> float:
    """Return the upward force of a support [N]: load on its node less the forces of the pieces."""
    columns = range(max(0, unknown - BAND), min(len(moved), unknown + BAND + 1))
    return forces[unknown] - sum(matrix[unknown][c - unknown + BAND] * moved[c] for c in columns)


def _top_of_parabola(places: Sequence[float], values: Sequence[float]) -> tuple[float, float]:
    """Return place and value of the vertex of a parabola through three nodes; the middle one outside them."""
    (left, middle, right), (a, b, c) = places, values
    first, second = (b - a) / (middle - left), (c - b) / (right - middle)
    curve = (second - first) / (right - left)
    if not curve:
        return middle, b
    slope = first + curve * (middle - left)
    top = middle - slope / (2 * curve)
    if not left <= top <= right:
        return middle, b
    return top, b - slope**2 / (4 * curve)
