"""Top and the way it has to go, as asked about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from calcs.asking.field_types import Length, Text
from calcs.asking.inputs import Rows, check
from calcs.kit.errors import OutOfRange
from calcs.kit.units import inches

MOST = inches(480)
WAY = inches(4)
WIDEST = inches(1200)


@dataclass(frozen=True, kw_only=True)
class Door:
    """Opening in the clear.

    Parameters
    ----------
    width_len, height_len : int
        Width and height in the clear [1/8 µm].
    name : str
        Its name.

    Raises
    ------
    Unreadable, OutOfRange
    """

    width_len: Annotated[int, Length("width in the clear", WAY, WIDEST)]
    height_len: Annotated[int, Length("height in the clear", WAY, WIDEST)]
    name: Annotated[str, Text("name")] = "door"

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class Turn:
    """Right-angled turn of a stair or hall.

    Parameters
    ----------
    into_len, out_len, height_len : int
        Widths before and after the turn, headroom [1/8 µm].
    name : str
        Its name.

    Raises
    ------
    Unreadable, OutOfRange
    """

    into_len: Annotated[int, Length("width before the turn", WAY, WIDEST)]
    out_len: Annotated[int, Length("width after the turn", WAY, WIDEST)]
    height_len: Annotated[int, Length("headroom", WAY, WIDEST)]
    name: Annotated[str, Text("name")] = "turn"

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class Cabin:
    """Lift in the clear.

    Parameters
    ----------
    width_len, depth_len, height_len : int
        Size of the cabin [1/8 µm].
    door_width_len, door_height_len : int
        Size of its door [1/8 µm].
    name : str
        Its name.

    Raises
    ------
    Unreadable, OutOfRange
    """

    width_len: Annotated[int, Length("width of the cabin", WAY, WIDEST)]
    depth_len: Annotated[int, Length("depth of the cabin", WAY, WIDEST)]
    height_len: Annotated[int, Length("height of the cabin", WAY, WIDEST)]
    door_width_len: Annotated[int, Length("width of its door", WAY, WIDEST)]
    door_height_len: Annotated[int, Length("height of its door", WAY, WIDEST)]
    name: Annotated[str, Text("name")] = "lift"

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class WayIn:
    """Top and the way it has to go.

    Parameters
    ----------
    length_len, width_len, thickness_len : int
        Finished size [1/8 µm].
    doors, turns, lifts : tuple
        Places it has to pass.
    ceiling_len : int, optional
        Height of the room it is stood up in [1/8 µm].
    wrapping_len : int
        Thickness of the wrapping on every side [1/8 µm].
    hands_len : int
        Room for hands on each face [1/8 µm].
    raised_len : int
        How far it is carried above the floor [1/8 µm].

    Raises
    ------
    Unreadable, OutOfRange
        Also where nothing is given to pass.
    """

    length_len: Annotated[int, Length("finished length", inches(1), MOST)]
    width_len: Annotated[int, Length("finished width", inches(1), MOST)]
    thickness_len: Annotated[int, Length("finished thickness", inches("1/8"), inches(12))]
    doors: Annotated[tuple[Door, ...], Rows("doors", Door, 0, 20)] = ()
    turns: Annotated[tuple[Turn, ...], Rows("turns of a stair or hall", Turn, 0, 20)] = ()
    lifts: Annotated[tuple[Cabin, ...], Rows("lifts", Cabin, 0, 5)] = ()
    ceiling_len: Annotated[int | None, Length("ceiling where it is stood up", WAY, WIDEST)] = None
    wrapping_len: Annotated[int, Length("wrapping on every side", 0, inches(6))] = inches(1)
    hands_len: Annotated[int, Length("room for hands on each face", 0, inches(12))] = inches("3/2")
    raised_len: Annotated[int, Length("carried above the floor", 0, inches(48))] = inches(2)

    def __post_init__(self) -> None:
        check(self)
        if not (self.doors or self.turns or self.lifts or self.ceiling_len):
            raise OutOfRange(
                "doors: nothing is given to pass",
                field="doors",
                value=None,
                allowed="at least one door, turn, lift, or a ceiling",
            )
