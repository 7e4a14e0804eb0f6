"""Limits of a finished top: what flattening takes, and how thick, flat and square it has to be.

References
----------
.. [1] ISO 2768-2, 1989, table 2: general tolerances on perpendicularity, class L (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import isqrt

from calcs.kit.units import UNITS_PER_INCH, UNITS_PER_MM, inches
from calcs.tables import PRACTICE

LARGE_LENGTH_LEN, LARGE_WIDTH_LEN = inches(96), inches(36)
"""From this length, or above this width, a top takes more to flatten. Common practice, no source."""
USUAL_FLATTENING_LEN, LARGE_FLATTENING_LEN = inches("1/16"), inches("1/8")
FLATTENING = f'flattening takes 1/16", and 1/8" from 8 ft long or above 3 ft wide: {PRACTICE}'
MILLING = f'milling a rough board flat takes 1/8", and 1/4" for tops of 8 ft and more: {PRACTICE}'
THICKNESS_TOLERANCE_LEN = inches("1/32")
FLAT_STEP_LEN, FLAT_STEP_OF_LEN, FLAT_MOST_LEN = inches("1/32"), inches(36), inches("1/16")
OUT_OF_SQUARE_MM = ((100, "0.6"), (300, "1"), (1000, "1.5"), (3000, "2"))
"""Up to this length of the shorter side [mm] -> an end may be out of square by so much [mm]."""
SOURCES = (
    FLATTENING,
    f'thickness 1/32" either way; flat to 1/32" in 3 ft and 1/16" overall: {PRACTICE}',
    "square: ISO 2768-2 (1989) table 2, class L (from memory)",
)


@dataclass(frozen=True, kw_only=True)
class FinishedLimits:
    """Limits of a finished top [1/8 µm].

    Attributes
    ----------
    milled_len : int
        Least thickness of the milled strips: the finished one and what flattening takes.
    thinnest_len, thickest_len : int
        Finished thickness within its tolerance.
    flat_len : int
        Most that the top may be out of flat over all.
    square_len : int
        Most that its diagonals may differ, rounded down to 1/64 in.
    """

    milled_len: int
    thinnest_len: int
    thickest_len: int
    flat_len: int
    square_len: int


def flattening_len(*, length_len: int, width_len: int) -> int:
    """Return what flattening both faces of a glued top takes off its thickness [1/8 µm].

    Parameters
    ----------
    length_len, width_len : int
        Finished size [1/8 µm].

    Notes
    -----
    Common practice, no source: 1/16 in, and 1/8 in from 8 ft long or above 3 ft wide. It agrees with the
    trade's rule that 8/4, which surfaces to 1 3/4 in, gives 1 5/8 in on tops of 8 ft and more.

    Examples
    --------
    >>> flattening_len(length_len=inches(96), width_len=inches(30)) == inches("1/8")
    True
    """
    large = length_len >= LARGE_LENGTH_LEN or width_len > LARGE_WIDTH_LEN
    return LARGE_FLATTENING_LEN if large else USUAL_FLATTENING_LEN


def milling_len(*, length_len: int) -> int:
    """Return what milling both faces of a rough board flat takes off its thickness [1/8 µm].

    Parameters
    ----------
    length_len : int
        Finished length of the top [1/8 µm].

    Notes
    -----
    Common practice, no source: twice what flattening takes, so 1/8 in, and 1/4 in from 8 ft long. With
    what flattening takes after it, a rough 8/4 board gives 1 5/8 in on tops of 8 ft and more, as the trade
    expects.

    References
    ----------
    .. [1] Trade rule for 8/4 on long tops: common practice, no source.

    Examples
    --------
    >>> milling_len(length_len=inches(96)) == inches("1/4")
    True
    """
    return 2 * flattening_len(length_len=length_len, width_len=0)


def finished_limits(*, length_len: int, width_len: int, thickness_len: int) -> FinishedLimits:
    """Return the limits that a finished top has to keep.

    Parameters
    ----------
    length_len, width_len, thickness_len : int
        Finished size [1/8 µm].

    Returns
    -------
    FinishedLimits

    Notes
    -----
    Flatness: 1/32 in for each 3 ft of the longer side or part of it, 1/16 in at most.
    An end that is out of square by t over the width W shifts one corner of a top of length L by t, so its
    diagonals differ by 2 L t / sqrt(L² + W²). t is that of ISO 2768-2, class L, by the shorter side.

    References
    ----------
    .. [1] ISO 2768-2, 1989, table 2, class L (from memory).
    .. [2] Flattening, tolerance of thickness, flatness: common practice, no source.

    Examples
    --------
    >>> limits = finished_limits(length_len=inches(72), width_len=inches(30), thickness_len=inches("1.5"))
    >>> limits.milled_len == inches("1.5625"), limits.flat_len == inches("1/16")
    (True, True)
    """
    takes = flattening_len(length_len=length_len, width_len=width_len)
    steps = -(-max(length_len, width_len) // FLAT_STEP_OF_LEN)
    return FinishedLimits(
        milled_len=thickness_len + takes,
        thinnest_len=thickness_len - THICKNESS_TOLERANCE_LEN,
        thickest_len=thickness_len + THICKNESS_TOLERANCE_LEN,
        flat_len=min(steps * FLAT_STEP_LEN, FLAT_MOST_LEN),
        square_len=_square_len(max(length_len, width_len), min(length_len, width_len)),
    )


def _square_len(long: int, short: int) -> int:
    """Return the most that the diagonals may differ [1/8 µm], down to 1/64 in."""
    out = next((mm for upto, mm in OUT_OF_SQUARE_MM if short <= upto * UNITS_PER_MM), OUT_OF_SQUARE_MM[-1][1])
    differ = Fraction(2 * long) * Fraction(out) * UNITS_PER_MM / isqrt(long**2 + short**2)
    step = UNITS_PER_INCH // 64
    return int(differ / step) * step
