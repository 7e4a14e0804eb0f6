"""Joints as makers and pages work them out: slots and biscuits of a table top of six boards, room in a
dowel's hole, the thickness of a dowel or tenon for a board. Counts and fractions of an inch, so nothing is
allowed.
"""

from fractions import Fraction

import pytest

from calcs.joints.joiners import joiner, usual_joiner
from calcs.joints.joinery import slots
from calcs.joints.slot_plan import SlotPlan
from calcs.kit.units import inches, to_inches
from tests.published.printed import rows

ROWS = rows("table_joints")
UNITS = {"slots": "slots", "pieces": "biscuits", "a joint": "biscuits"}


def top(row):
    """A top long enough for so many places 12 in apart, 4 in from its ends."""
    return slots(
        SlotPlan(
            length_len=inches(8 + 12 * (int(row["places"]) - 1)),
            thickness_len=inches(row["thickness_in"]),
            joints=int(row["joints"]),
            joiner=row["joiner"],
            strong=True,
        )
    )


def room(row):
    size = joiner(row["joiner"])
    return to_inches(size.depth_len - size.into_len // 2)


OURS = {
    "slots": lambda row: top(row).slots,
    "pieces": lambda row: top(row).pieces,
    "a joint": lambda row: top(row).edges[0].slots,
    "room": room,
    "tenon": lambda row: to_inches(usual_joiner("loose tenon", inches(row["thickness_in"])).thick_len),
    "dowel": lambda row: to_inches(usual_joiner("dowel", inches(row["thickness_in"])).thick_len),
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_a_joint_as_worked_out_in_print(agrees, row):
    limits = tuple(Fraction(row[name]) for name in ("least", "most") if row[name])
    agrees(
        calculation="joinery",
        kind="computed",
        ours=OURS[row["asks"]](row),
        printed=limits or Fraction(row["printed"]),
        within=0,
        source="makers and trade pages, joints worked out",
        seen=row["provenance"],
        unit=UNITS.get(row["asks"], "in"),
    )
