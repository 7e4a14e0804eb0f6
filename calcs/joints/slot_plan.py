"""Slots as asked about: the joints, the joiner, the spacing, and what to keep clear of."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from calcs.asking.field_types import Choice, Length, Many, Percent, Whole, Yes
from calcs.asking.figures import Figure
from calcs.asking.inputs import Rows, check
from calcs.joints.joiners import NAMES
from calcs.joints.recesses import Recess
from calcs.kit.errors import OutOfRange
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches
from calcs.lumber.ends import panel_len
from calcs.lumber.layout import MOST_STRIPS, Layout, StripLayout

FIRST = inches(4)


@dataclass(frozen=True, kw_only=True)
class SlotPlan:
    """Joints and their slots; ``joints`` or ``widths_len``, one of the two.

    Parameters
    ----------
    length_len, thickness_len : int
        Finished length; thickness when the slots are cut, measured from the show face [1/8 µm].
    joints : int, optional
        Number of joints.
    widths_len : tuple of int, optional
        Widths of the strips, left to right [1/8 µm]; then the edges are checked too.
    width_len : int, optional
        Finished width [1/8 µm]; what the strips are wider comes off both edges alike.
    joiner : str
        Name in ``calcs/tables/joiners.csv``.
    first_len, give_len : int
        Middle of the first slot from the finished end, and how far it may move from there for even spacing
        [1/8 µm]; 4 in and 1 in.
    least_len, most_len : int
        Spacing [1/8 µm]; 10 to 12 in.
    strong : bool
        True asks for two rows, cut from 1 1/2 in thickness on.
    profile_len : int
        How far an edge profile reaches in from the finished edges and ends [1/8 µm].
    recesses : tuple of Recess
        Recesses in the underside.
    spare_pct : Decimal
        Bought over the need [%], at least two pieces; 10 by default.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    length_len: Annotated[int, Length("finished length", inches(1), inches(480)), Figure("Length")]
    thickness_len: Annotated[
        int, Length("thickness when the slots are cut", inches("3/8"), inches(12)), Figure("Thickness")
    ]
    joints: Annotated[int | None, Whole("number of joints", 1, MOST_STRIPS - 1), Figure("Joints")] = None
    widths_len: (
        Annotated[
            tuple[int, ...],
            Many("widths of the strips", Length("width", inches("1/2"), inches(60)), 2, MOST_STRIPS),
        ]
        | None
    ) = None
    width_len: Annotated[int | None, Length("finished width", inches(1), inches(240)), Figure("Width")] = None
    joiner: Annotated[str, Choice("joiner", NAMES)] = "biscuit 20"
    first_len: Annotated[
        int,
        Length("first slot from the finished end", inches(1), inches(24)),
        Figure("First from the finished end"),
    ] = FIRST
    give_len: Annotated[int, Length("how far the first slot may move", 0, inches(2))] = inches(1)
    least_len: Annotated[int, Length("least spacing", inches(2), inches(24))] = inches(10)
    most_len: Annotated[int, Length("largest spacing", inches(2), inches(24))] = inches(12)
    strong: Annotated[bool, Yes("two rows wanted")] = False
    profile_len: Annotated[int, Length("reach of the edge profile", 0, inches(12))] = 0
    recesses: Annotated[tuple[Recess, ...], Rows("recesses in the underside", of=Recess, most=50)] = ()
    spare_pct: Annotated[Decimal, Percent("spare", "0", "100")] = Decimal(10)

    def __post_init__(self) -> None:
        check(self)
        if (self.joints is None) == (self.widths_len is None):
            raise OutOfRange(
                "joints or widths is needed, and only one of them",
                field="joints",
                value=self.joints,
                allowed="the number of joints, or the widths of the strips",
            )
        if self.least_len > self.most_len:
            raise out_of_range("least", both_units(self.least_len), f"at most {both_units(self.most_len)}")
        if self.width_len is not None and self.widths_len and sum(self.widths_len) < self.width_len:
            raise out_of_range(
                "width", both_units(self.width_len), f"at most {both_units(sum(self.widths_len))}"
            )
        for index, recess in enumerate(self.recesses, start=1):
            recess.check_inside(self.length_len, self.width_len, self.thickness_len, f"recesses[{index}]")


def plan_for(layout: Layout, asked: StripLayout, *, thickness_len: int, joiner: str) -> SlotPlan:
    """Return the plan of a layout's joints with the usual spacing; `dataclasses.replace` changes the rest.

    With breadboard ends it is measured from the end of the tongue, and the first slot keeps clear of that.
    """
    return SlotPlan(
        length_len=panel_len(asked),
        first_len=FIRST + asked.tongue_deep_len,
        thickness_len=thickness_len,
        widths_len=tuple(strip.width_len for strip in layout.strips),
        width_len=asked.width_len if layout.reach_len >= asked.width_len else None,
        joiner=joiner,
    )
