"""Top and the steel channels for it, as asked about them."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from calcs.asking.field_types import Length, Number, Whole
from calcs.asking.figures import Figure
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches
from calcs.wood.seasonal_movement import Seasons


@dataclass(frozen=True, kw_only=True)
class Stiffeners(Seasons):
    """Top and the channels for it; by default a channel leaves 4 in of the width free at either edge.

    Parameters
    ----------
    width_len, length_len, thickness_len : int
        Finished size [1/8 µm].
    count : int, optional
        Channels; by default one for each 3 ft begun, two at least.
    channel_len, channel_wide_len, channel_deep_len, channel_wall_len : int
        Length across the grain, width of the web, depth of the legs, thickness of the steel [1/8 µm].
    bolts, bolt_len, bolt_end_len, tolerance_len : int
        Bolts in a channel, an odd number; diameter; outermost from the end of the channel; play [1/8 µm].
    insert_len, leave_len : int
        Length of a threaded insert, and wood to leave above it [1/8 µm].
    across_mpa : Decimal, optional
        Your own modulus of elasticity across the grain [MPa].

    Raises
    ------
    Unreadable, OutOfRange, Unknown

    Notes
    -----
    Wood and seasons are those of `calcs.wood.seasonal_movement.Seasons`.
    """

    width_len: Annotated[int, Length("finished width", inches(12), inches(240)), Figure("Width")]
    length_len: Annotated[int, Length("finished length", inches(12), inches(480)), Figure("Length")]
    thickness_len: Annotated[
        int, Length("finished thickness", inches("1/2"), inches(12)), Figure("Thickness")
    ]
    count: Annotated[int | None, Whole("channels", 1, 30)] = None
    channel_len: Annotated[int | None, Length("length of a channel", inches(4), inches(238))] = None
    channel_wide_len: Annotated[int, Length("width of a channel", inches("1/2"), inches(6))] = inches("3/2")
    channel_deep_len: Annotated[int, Length("depth of a channel", inches("1/4"), inches(4))] = inches("1/2")
    channel_wall_len: Annotated[int, Length("thickness of the steel", inches("1/16"), inches("1/2"))] = (
        inches("1/8")
    )
    bolts: Annotated[int, Whole("bolts in a channel", 3, 15)] = 3
    bolt_len: Annotated[int, Length("diameter of a bolt", inches("1/8"), inches("3/4"))] = inches("1/4")
    bolt_end_len: Annotated[int, Length("outermost bolt from the end", inches("1/2"), inches(24))] = inches(
        "3/2"
    )
    tolerance_len: Annotated[int, Length("play in all", 0, inches("1/2"))] = inches("1/16")
    insert_len: Annotated[int, Length("length of an insert", inches("1/8"), inches(3))] = inches("1/2")
    leave_len: Annotated[int, Length("wood left above an insert", 0, inches(2))] = inches("1/8")
    across_mpa: Annotated[
        Decimal | None,
        Number("your own modulus across the grain", "50", "5000", "MPa"),
        Figure("Stiffness of the wood across the grain"),
    ] = None

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.bolts % 2 == 0:
            raise out_of_range("bolts", self.bolts, "an odd number, one in the middle")
        if self.channel_wall_len >= min(self.channel_deep_len, self.channel_wide_len // 2):
            allowed = "less than the depth and half the width of the channel"
            raise out_of_range("channel_wall", both_units(self.channel_wall_len), allowed)
        most = self.thickness_len // 3
        if self.channel_deep_len > most:
            allowed = f"at most {both_units(most)}, a third of the thickness"
            raise out_of_range("channel_deep", both_units(self.channel_deep_len), allowed)
