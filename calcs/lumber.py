"""Board feet by the trade's rounding, the rough thickness a top needs, and the boards to buy for it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from calcs.errors import OutOfRange
from calcs.guards import decimal, one_of, whole
from calcs.rounding import half_up, places, up
from calcs.tables import rows, told
from calcs.typed import out_of_range
from calcs.units import MOST_UNITS, UNITS_PER_INCH, both_units, check_length, inches

PRACTICE = "common practice, no source"
LONG_TOP_LEN = 96 * UNITS_PER_INCH
LONG_TOP_SURFACED_LEN = inches("1.625")
NHLA = (
    "NHLA surface measure: width with its fraction x whole feet / 12, to the nearest foot; an exact half up"
)
BOARD_FOOT = (
    "board foot: 1 ft x 1 ft x 1 in, under 1 in counts as 1 in (US Navy Engineering Aid Basic, ch. 6)"
)


@dataclass(frozen=True, kw_only=True)
class Quarters:
    """A standard rough thickness: its name such as ``8/4``, rough and surfaced thickness [1/8 µm]."""

    quarters: str
    rough_len: int
    surfaced_len: int
    notes: tuple[str, ...]
    source: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class TopLumber:
    """What the lumber for edge-glued tops is worked out from.

    Parameters
    ----------
    length_len, width_len, thickness_len : int
        Finished size [1/8 µm].
    quantity : int
        Tops alike.
    quarters : str, optional
        Rough thickness to use; else the thinnest that surfaces to the finished thickness.
    board_width_len, board_length_len : int
        Usual board on offer [1/8 µm].
    strip_len : int, optional
        Width of a finished strip [1/8 µm]; else each board is one strip, as wide as it gives.
    trim_len : int
        Extra length of every strip, squared after the glue-up [1/8 µm]; 2 in unless told.
    joint_allowance_len, kerf_len : int
        Width lost on each strip to straight edges and to the rip cut [1/8 µm]; 3/16 and 1/8 in.
    waste_pct : Decimal
        For knots, checks and sapwood [%]; 25 unless told.
    price_per_bf : Decimal, optional
        Price of a board foot [the shop's currency].

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    length_len: int
    width_len: int
    thickness_len: int
    quantity: int = 1
    quarters: str | None = None
    board_width_len: int
    board_length_len: int
    strip_len: int | None = None
    trim_len: int = inches(2)
    joint_allowance_len: int = inches("3/16")
    kerf_len: int = inches("1/8")
    waste_pct: Decimal = Decimal(25)
    price_per_bf: Decimal | None = None

    def __post_init__(self) -> None:
        check_length(self.length_len, "length_len", least=inches(1), most=inches(480))
        check_length(self.width_len, "width_len", least=inches(1), most=inches(240))
        check_length(self.thickness_len, "thickness_len", least=inches("1/8"), most=inches(12))
        whole(self.quantity, "quantity", least=1, most=1000)
        check_length(self.board_width_len, "board_width_len", least=inches(2), most=inches(60))
        check_length(self.board_length_len, "board_length_len", least=inches(12), most=inches(480))
        if self.strip_len is not None:
            check_length(self.strip_len, "strip_len", least=inches("1/2"), most=inches(60))
        check_length(self.trim_len, "trim_len", least=0, most=inches(24))
        check_length(self.joint_allowance_len, "joint_allowance_len", least=0, most=inches(1))
        check_length(self.kerf_len, "kerf_len", least=0, most=inches("1/2"))
        decimal(self.waste_pct, "waste_pct", least="0", most="200")
        if self.price_per_bf is not None:
            decimal(self.price_per_bf, "price_per_bf", least="0", most="100000")
        if self.quarters is not None:
            one_of(self.quarters, "quarters", (row["quarters"] for row in rows("lumber")))


@dataclass(frozen=True, kw_only=True)
class LumberNeed:
    """Lumber for the tops: lengths [1/8 µm], board feet to 0.01, cost to 0.01.

    ``net_bf`` is the finished outline in rough thickness; ``gross_bf`` adds trim, joint and kerf allowance
    and waste; ``buy_bf`` is the tally of the whole boards to buy.
    """

    quarters: str
    rough_len: int
    surfaced_len: int
    blank_len: int
    strips: int
    boards: int
    net_bf: Decimal
    gross_bf: Decimal
    buy_bf: Decimal
    cost: Decimal | None
    notes: tuple[str, ...]
    source: tuple[str, ...]


def surface_measure(*, width_len: int, length_len: int) -> int:
    """Surface measure of one hardwood board [ft²], whole feet.

    Parameters
    ----------
    width_len, length_len : int
        Width with its fraction; length, of which part feet are dropped [1/8 µm].

    Notes
    -----
    An exact half goes alternately up and down on a tally (from memory); one board alone goes up here, so
    that an estimate is not short.

    References
    ----------
    .. [1] American Hardwood Export Council, measurement of hardwood lumber, after the NHLA rules.
    """
    check_length(width_len, "width_len", least=1, most=MOST_UNITS)
    check_length(length_len, "length_len", least=1, most=MOST_UNITS)
    feet = length_len // (12 * UNITS_PER_INCH)
    return half_up(Fraction(width_len * feet, 12 * UNITS_PER_INCH))


def board_feet(*, thickness_len: int, width_len: int, length_len: int) -> Decimal:
    """Board feet of one hardwood board by the trade's rounding: surface measure x rough thickness, to 0.01.

    Examples
    --------
    >>> board_feet(thickness_len=inches(2), width_len=inches("25/4"), length_len=inches(96))
    Decimal('8.00')
    """
    thick = _nominal_inches(thickness_len)
    return places(surface_measure(width_len=width_len, length_len=length_len) * thick, 2)


def board_measure(*, thickness_len: int, width_len: int, length_len: int) -> Fraction:
    """Board feet without rounding: thickness [in] x width [ft] x length [ft], exact.

    References
    ----------
    .. [1] US Navy, Engineering Aid Basic, ch. 6.
    """
    foot = 12 * UNITS_PER_INCH
    return _nominal_inches(thickness_len) * Fraction(width_len, foot) * Fraction(length_len, foot)


def quarters_for(thickness_len: int, *, length_len: int = 0) -> Quarters:
    """The thinnest standard rough thickness that surfaces to a finished thickness.

    Parameters
    ----------
    thickness_len : int
        Finished thickness [1/8 µm].
    length_len : int
        Length of the top [1/8 µm]; from 8 ft on a note says what to expect.

    Raises
    ------
    OutOfRange
        If no standard thickness is thick enough.

    Notes
    -----
    Surfaced thickness is a grading rule, not what a mill must deliver.
    """
    check_length(thickness_len, "thickness_len", least=1, most=MOST_UNITS)
    for row in rows("lumber"):
        if _length(row["surfaced_in"]) >= thickness_len:
            return _quarters(row, thickness_len, length_len)
    most = f"at most {both_units(_length(rows('lumber')[-1]['surfaced_in']))} from one board"
    raise out_of_range("thickness", both_units(thickness_len), most)


def top_lumber(top: TopLumber) -> LumberNeed:
    """Boards to buy for edge-glued tops, in board feet and money.

    Returns
    -------
    LumberNeed

    Raises
    ------
    OutOfRange
        If the boards on offer are too short, too narrow, or too thin.

    Notes
    -----
    A strip takes its width plus joint allowance and kerf from a board, and its length plus trim. Boards
    are counted twice, by whole strips and by gross board feet, and the larger count is bought.
    """
    stock = _stock(top)
    blank_len = top.length_len + top.trim_len
    lost_len = top.joint_allowance_len + top.kerf_len
    strip_len = top.strip_len or top.board_width_len - lost_len
    per_board = _strips_per_board(top, blank_len, strip_len, lost_len)
    per_top = up(Fraction(top.width_len, strip_len))
    strips = per_top * top.quantity
    net = top.quantity * _measure(stock, top.width_len, top.length_len)
    with_allowances = top.quantity * _measure(stock, top.width_len + per_top * lost_len, blank_len)
    gross = with_allowances * (1 + Fraction(top.waste_pct) / 100)
    tally = board_feet(
        thickness_len=stock.rough_len, width_len=top.board_width_len, length_len=top.board_length_len
    )
    boards = max(up(Fraction(strips, per_board)), up(gross / Fraction(tally)))
    buy = tally * boards
    cost = None if top.price_per_bf is None else places(top.price_per_bf * buy, 2)
    return LumberNeed(
        quarters=stock.quarters,
        rough_len=stock.rough_len,
        surfaced_len=stock.surfaced_len,
        blank_len=blank_len,
        strips=strips,
        boards=boards,
        net_bf=places(net, 2),
        gross_bf=places(gross, 2),
        buy_bf=buy,
        cost=cost,
        notes=stock.notes,
        source=(*stock.source, NHLA, BOARD_FOOT, f"trim, joint allowance, kerf and waste: {PRACTICE}"),
    )


def _stock(top: TopLumber) -> Quarters:
    if top.quarters is None:
        return quarters_for(top.thickness_len, length_len=top.length_len)
    row = next(row for row in rows("lumber") if row["quarters"] == top.quarters)
    stock = _quarters(row, top.thickness_len, top.length_len)
    if stock.surfaced_len < top.thickness_len:
        allowed = f"it surfaces to {both_units(stock.surfaced_len)}; take a thicker one"
        raise out_of_range("quarters", top.quarters, allowed)
    return stock


def _strips_per_board(top: TopLumber, blank_len: int, strip_len: int, lost_len: int) -> int:
    along = top.board_length_len // blank_len
    if along < 1:
        raise _short("board_length", top.board_length_len, blank_len)
    across = top.board_width_len // (strip_len + lost_len)
    if across < 1:
        raise _short("board_width", top.board_width_len, strip_len + lost_len)
    if (
        board_feet(thickness_len=inches(1), width_len=top.board_width_len, length_len=top.board_length_len)
        == 0
    ):
        raise _short("board_width", top.board_width_len, inches(12))
    return along * across


def _short(field: str, value: int, least: int) -> OutOfRange:
    return out_of_range(field, both_units(value), f"at least {both_units(least)}")


def _quarters(row: dict[str, str], thickness_len: int, length_len: int) -> Quarters:
    notes = ["surfaced on three sides leaves one edge to true"]
    source = [told(row["source"], row["provenance"])]
    if row["quarters"] == "8/4" and length_len >= LONG_TOP_LEN and thickness_len > LONG_TOP_SURFACED_LEN:
        notes.insert(
            0, 'tops of 8 ft and more: expect 1 5/8" from 8/4, not 1 3/4"; ask the mill or take 10/4'
        )
        source.append(f'1 5/8" from 8/4 at 8 ft and more: {PRACTICE}')
    return Quarters(
        quarters=row["quarters"],
        rough_len=_length(row["rough_in"]),
        surfaced_len=_length(row["surfaced_in"]),
        notes=tuple(notes),
        source=tuple(source),
    )


def _length(text: str) -> int:
    return inches(sum((Fraction(part) for part in text.split()), Fraction(0)))


def _nominal_inches(thickness_len: int) -> Fraction:
    check_length(thickness_len, "thickness_len", least=1, most=MOST_UNITS)
    return max(Fraction(thickness_len, UNITS_PER_INCH), Fraction(1))


def _measure(stock: Quarters, width_len: int, length_len: int) -> Fraction:
    return board_measure(thickness_len=stock.rough_len, width_len=width_len, length_len=length_len)
