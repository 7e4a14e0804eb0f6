"""A flooring trade association's table of relative stability: its worked example of a strip that takes up
moisture.

Half of the last place printed is allowed.
"""

from decimal import Decimal

from calcs.kit.units import inches, to_inches
from calcs.wood.movement_inputs import OWN_VALUE, MovementInputs, movement_for
from tests.published.printed import half_a_place, rows

SOURCE = "flooring trade association, worked example"
(STRIP,) = [row for row in rows("movement") if row["source"].startswith("flooring trade association")]


def test_a_flooring_strip_by_its_own_coefficient(agrees):
    found = movement_for(
        MovementInputs(
            size_len=inches(STRIP["start_size"]),
            coefficient=Decimal(STRIP["coefficient"]),
            mc_from_pct=Decimal(STRIP["mc_start_pct"]),
            mc_to_pct=Decimal(STRIP["mc_end_pct"]),
        )
    )
    assert found.source[0] == OWN_VALUE
    agrees(
        calculation="movement",
        kind="computed",
        ours=to_inches(found.change_len),
        printed=STRIP["change"],
        within=half_a_place(STRIP["change"]),
        source=SOURCE,
        seen=STRIP["provenance"],
        unit=STRIP["unit"],
    )
