"""Edge-glued tops and the boards on offer, as asked about their lumber."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from calcs.asking.field_types import Choice, Length, Many, Number, Percent, Whole, Yes
from calcs.asking.figures import Figure
from calcs.asking.inputs import Rows, check
from calcs.kit.typed import out_of_range
from calcs.kit.units import inches
from calcs.lumber.board_tally import MEASURED, RULES, SHRINKAGE, Boards
from calcs.lumber.ends import EndWide, TongueDeep, check_ends
from calcs.lumber.quarters import COMMON, NAMES, SURFACED
from calcs.tables import rows

BOARD_LENGTHS = (inches(12), inches(480))
GRADES = {row["grade"]: row for row in rows("grades")}
WASTE_PCT = Decimal(25)
"""Added for waste where no grade is given; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class TopLumber:
    """Edge-glued tops and the boards on offer.

    Parameters
    ----------
    length_len, width_len, thickness_len : int
        Finished size [1/8 µm].
    quantity : int
        Tops alike.
    quarters : str, optional
        Rough thickness to use; else the thinnest stocked one that leaves what flattening takes.
    stocked : tuple of str
        Thicknesses that the yard stocks, of `calcs.lumber.quarters.NAMES`; no other is proposed.
    board_width_len : int
        Usual board on offer: its average width [1/8 µm].
    board_length_len : int, optional
        Its length [1/8 µm]; else those of `calcs.lumber.boards.ON_OFFER` that buy the fewest board feet.
    strip_len : int, optional
        Width of a finished strip [1/8 µm]; else each board is one strip, as wide as it gives.
    trim_len : int
        Extra length of every strip, squared after the glue-up [1/8 µm]; 2 in by default.
    end_wide_len, tongue_deep_len : int
        Width of a breadboard end, and how far the tongue of the panel goes into it [1/8 µm]; 0 without ends.
    joint_allowance_len, kerf_len : int
        Width lost on each strip to straight edges and to the rip cut [1/8 µm]; 3/16 and 1/8 in.
    grade : {"FAS", "select", "no. 1 common", "no. 2A common"}, optional
        Sets the usable share of the boards where no waste is given.
    waste_pct : Decimal, optional
        For knots, checks and sapwood, added to the lumber needed [%]; else by the grade, else 25.
    surfaced : {"rough", "S2S", "S3S"}
        How the boards are bought.
    price_per_bf : Decimal, optional
        Price of a board foot [the shop's currency].
    final_trim_len : int
        Width to come off at final trim besides [1/8 µm].
    boards : tuple of Boards
        Boards at hand, to be tallied and held against the need.
    random_widths : bool
        True where boards at hand are used as wide as they are, so that only the sum of the widths counts;
        then they are bought for what is missing alone.
    widest_len : int
        Widest strip that such a board is ripped to [1/8 µm].
    rule, measured, shrinkage_pct
        How they are tallied, see `calcs.lumber.board_footage.BoardTally`.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    length_len: Annotated[int, Length("finished length", inches(1), inches(480)), Figure("Length")]
    width_len: Annotated[int, Length("finished width", inches(1), inches(240)), Figure("Width")]
    thickness_len: Annotated[
        int, Length("finished thickness", inches("1/8"), inches(12)), Figure("Thickness")
    ]
    quantity: Annotated[int, Whole("how many", 1, 1000)] = 1
    quarters: Annotated[str | None, Choice("rough thickness", NAMES)] = None
    stocked: Annotated[
        tuple[str, ...],
        Many("thicknesses that the yard stocks", Choice("rough thickness", NAMES), 1, len(NAMES)),
    ] = COMMON
    board_width_len: Annotated[
        int, Length("average width of the boards on offer", inches(2), inches(60)), Figure("Board width")
    ]
    board_length_len: Annotated[
        int | None, Length("length of the boards on offer", *BOARD_LENGTHS), Figure("Board length")
    ] = None
    strip_len: Annotated[
        int | None, Length("width of a finished strip", inches("1/2"), inches(60)), Figure("Width of a strip")
    ] = None
    trim_len: Annotated[
        int, Length("extra length of every strip", 0, inches(24)), Figure("Trim on the length")
    ] = inches(2)
    end_wide_len: EndWide = 0
    tongue_deep_len: TongueDeep = 0
    joint_allowance_len: Annotated[
        int, Length("width lost to straight edges", 0, inches(1)), Figure("Joint allowance")
    ] = inches("3/16")
    kerf_len: Annotated[int, Length("width lost to the rip cut", 0, inches("1/2")), Figure("Kerf")] = inches(
        "1/8"
    )
    grade: Annotated[str | None, Choice("grade", tuple(GRADES))] = None
    waste_pct: Annotated[Decimal | None, Percent("added for waste", "0", "200"), Figure("Waste")] = None
    surfaced: Annotated[str, Choice("how the boards are bought", tuple(SURFACED))] = "S3S"
    price_per_bf: Annotated[
        Decimal | None,
        Number("price of a board foot", "0", "100000"),
        Figure("Price of a board foot", money=True),
    ] = None
    boards: Annotated[tuple[Boards, ...], Rows("boards at hand", of=Boards, most=200)] = ()
    final_trim_len: Annotated[
        int, Length("width to come off at final trim", 0, inches(12)), Figure("Trim on the width", quiet=True)
    ] = 0
    random_widths: Annotated[
        bool, Yes("boards at hand as wide as they are"), Figure("Boards at hand as wide as they are")
    ] = False
    widest_len: Annotated[
        int, Length("widest strip of a board at hand", inches(1), inches(60)), Figure("Widest strip wanted")
    ] = inches("13/2")
    rule: Annotated[str, Choice("rule of measuring them", RULES)] = "NHLA"
    measured: Annotated[str, Choice("when they were measured", MEASURED)] = "after drying"
    shrinkage_pct: Annotated[Decimal, SHRINKAGE] = Decimal(8)

    def __post_init__(self) -> None:
        check(self)
        check_ends(self)
        if self.random_widths and self.quantity > 1:
            raise out_of_range("random_widths", "yes", "one top; strips of random widths are laid out for it")
