"""Board feet of one hardwood board, by the trade's rounding.

A board foot is 1 ft x 1 ft x 1 in of rough lumber. Hardwood is sold by surface measure: whole square feet of
one face, rounded, times the rough thickness. Lumber under 1 in thick counts as 1 in.

References
----------
.. [1] American Hardwood Export Council, measurement of hardwood lumber, after the NHLA rules.
.. [2] US Navy, Engineering Aid Basic, ch. 6: the board foot.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from calcs.kit.rounding import half_up, places
from calcs.kit.units import MOST_UNITS, UNITS_PER_INCH, check_length

FOOT = 12 * UNITS_PER_INCH
BOARD_FOOT_M3 = Decimal("0.002359737216")
"""A board foot is 144 cubic inches, an inch 25.4 mm (NIST SP 811, 2008, appendix B)."""
NHLA = (
    "NHLA surface measure: width with its fraction x whole feet / 12, to the nearest foot (read at pages that"
    " quote the rules); an exact half of one board up, so that an estimate is not short: our choice"
)
BOARD_FOOT = (
    "board foot: 1 ft x 1 ft x 1 in, under 1 in counts as 1 in (US Navy Engineering Aid Basic, ch. 6; read)"
)


def surface_measure(*, width_len: int, length_len: int) -> int:
    """Return the surface measure of one hardwood board [ft²], whole feet.

    Parameters
    ----------
    width_len, length_len : int
        Width with its fraction; length, of which part feet are dropped [1/8 µm].

    Raises
    ------
    Unreadable, OutOfRange

    Notes
    -----
    Width [in] x whole feet / 12, to the nearest foot. An exact half goes alternately up and down on a tally
    (from memory), see `calcs.lumber.board_tally.tally`. One board alone goes up here, so that an estimate is
    not short.

    References
    ----------
    .. [1] American Hardwood Export Council, measurement of hardwood lumber, after the NHLA rules.

    Examples
    --------
    >>> from calcs.kit.units import inches
    >>> surface_measure(width_len=inches("25/4"), length_len=inches(96))  # 6 1/4 x 8 / 12 = 4.17
    4
    """
    check_length(width_len, "width_len", least=1, most=MOST_UNITS)
    check_length(length_len, "length_len", least=1, most=MOST_UNITS)
    return half_up(surface_ft2(width_len, length_len))


def board_feet(*, thickness_len: int, width_len: int, length_len: int) -> Decimal:
    """Return the board feet of one hardwood board by the trade's rounding, to 0.01.

    Parameters
    ----------
    thickness_len, width_len, length_len : int
        Rough size [1/8 µm].

    Returns
    -------
    Decimal
        Surface measure [ft²] x rough thickness [in], never under 1 in.

    References
    ----------
    .. [1] American Hardwood Export Council, measurement of hardwood lumber, after the NHLA rules.

    Examples
    --------
    >>> from calcs.kit.units import inches
    >>> board_feet(thickness_len=inches(2), width_len=inches("25/4"), length_len=inches(96))
    Decimal('8.00')
    """
    thick = nominal_inches(thickness_len)
    return places(surface_measure(width_len=width_len, length_len=length_len) * thick, 2)


def board_measure(*, thickness_len: int, width_len: int, length_len: int) -> Fraction:
    """Return the board feet of a board without rounding, exact.

    Parameters
    ----------
    thickness_len, width_len, length_len : int
        Rough size [1/8 µm].

    Notes
    -----
    Thickness [in] x width [ft] x length [ft]; a thickness under 1 in counts as 1 in.

    References
    ----------
    .. [1] US Navy, Engineering Aid Basic, ch. 6.

    Examples
    --------
    >>> board_measure(thickness_len=UNITS_PER_INCH, width_len=FOOT, length_len=FOOT)
    Fraction(1, 1)
    """
    return nominal_inches(thickness_len) * Fraction(width_len, FOOT) * Fraction(length_len, FOOT)


def surface_ft2(width_len: int, length_len: int) -> Fraction:
    """Return the surface of a board, unrounded [ft²]: width x whole feet of length."""
    return Fraction(width_len * (length_len // FOOT), FOOT)


def nominal_inches(thickness_len: int) -> Fraction:
    """Return the thickness that is charged [in]: the rough one, never under 1 in."""
    check_length(thickness_len, "thickness_len", least=1, most=MOST_UNITS)
    return max(Fraction(thickness_len, UNITS_PER_INCH), Fraction(1))
