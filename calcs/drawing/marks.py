"""Marks on the strips of a layout, as they are drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calcs.glue_up.clamping import ClampAt
from calcs.joints.joinery import Joinery
from calcs.joints.recesses import Recess
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units
from calcs.lumber.ends import panel_len
from calcs.lumber.layout import Layout, StripLayout


@dataclass(frozen=True, kw_only=True)
class Marked:
    """Layout with what goes on it; lengths in 1/8 µm.

    Clamps and cauls are placed from the end of the blank, joints from the end of the panel, all else from the
    finished end.

    Raises
    ------
    OutOfRange
        If something would lie outside the board.
    """

    layout: Layout
    asked: StripLayout
    joints: Joinery | None = None
    stiffeners: Sequence[Recess] = ()
    clamps: Sequence[ClampAt] = ()
    cauls_at_len: Sequence[int] = ()
    thickness_len: int | None = None

    def __post_init__(self) -> None:
        length, width = self.asked.length_len, self.width
        for index, each in enumerate(self.stiffeners, start=1):
            each.check_inside(length, width, self.thickness, f"stiffeners[{index}]")
        blank = self.layout.blank_len
        for index, at in enumerate((c.at_len for c in self.clamps), start=1):
            _inside(f"clamps[{index}]", at, blank)
        for index, at in enumerate(self.cauls_at_len, start=1):
            _inside(f"cauls_at[{index}]", at, blank)
        if self.joints is not None:
            self._check_joints(self.joints)

    def _check_joints(self, joints: Joinery) -> None:
        if joints.joints != self.layout.count - 1:
            raise out_of_range("joints", joints.joints, f"{self.layout.count - 1}, as the layout has")
        for index, at in enumerate(joints.positions_len, start=1):
            half = joints.slot_len // 2
            if not half <= at <= panel_len(self.asked) - half:
                allowed = f"inside the length of {both_units(panel_len(self.asked))}"
                raise out_of_range(f"joints[{index}]", both_units(at), allowed)

    @property
    def width(self) -> int:
        """Return the width that will be left [1/8 µm]."""
        return min(self.asked.width_len, self.layout.reach_len)

    @property
    def thickness(self) -> int | None:
        """Return the thickness [1/8 µm]; None where it is not known."""
        return self.joints.thickness_len if self.joints else self.thickness_len

    @property
    def end_trim(self) -> int:
        """Return the length that comes off each end of the strips [1/8 µm]."""
        return (self.layout.blank_len - panel_len(self.asked)) // 2

    @property
    def blank_at(self) -> int:
        """Return where the strips begin in the drawing [1/8 µm]: breadboard ends may reach past them."""
        return max(0, self.asked.end_wide_len - self.asked.tongue_deep_len - self.end_trim)

    @property
    def panel_at(self) -> int:
        """Return where the panel begins in the drawing [1/8 µm], its tongue with it."""
        return self.blank_at + self.end_trim

    @property
    def finished_at(self) -> int:
        """Return where the finished top begins in the drawing [1/8 µm]."""
        return self.panel_at - self.asked.end_wide_len + self.asked.tongue_deep_len

    @property
    def long(self) -> int:
        """Return the length of the drawing [1/8 µm]: the strips, or the finished top where that is longer."""
        return self.layout.blank_len + 2 * self.blank_at

    @property
    def edge_trim(self) -> int:
        """Return the width that comes off each edge [1/8 µm], drawn with the width lost to ripped joints."""
        return (self.layout.sum_len - self.width) // 2

    @property
    def joint_places(self) -> tuple[int, ...]:
        """Return the joints from the left edge of the strips [1/8 µm]."""
        return tuple(strip.left_len for strip in self.layout.strips[1:])


def _inside(field: str, at: int, most: int) -> None:
    """Refuse a mark outside the board."""
    if not 0 <= at <= most:
        raise out_of_range(field, both_units(at), f'0" to {both_units(most)}')
