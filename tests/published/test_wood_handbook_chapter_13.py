"""USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), ch. 13: worked examples of movement.

Half of the last place printed is allowed.
"""

from decimal import Decimal

import pytest

from calcs.kit.units import inches, mm, to_inches, to_mm
from calcs.materials.own_woods import coefficient_from
from calcs.structure.attachment import OnBase, attachment
from calcs.structure.breadboard import breadboard
from calcs.structure.breadboard_inputs import BreadboardEnd
from calcs.structure.stiffening import stiffening
from calcs.structure.stiffening_inputs import Stiffeners
from calcs.wood.movement_inputs import MovementInputs, movement_for
from tests.published.printed import half_a_place, rows

SOURCES = {
    "E1": "Wood Handbook (2010), ch. 13, worked example",
    "E1m": "Wood Handbook (2010), ch. 13, worked example",
    "E7": "Wood Handbook (2010), eq. 13-2 and Table 13-5",
}
EXAMPLES = {row["id"]: row for row in rows("movement") if row["id"] in SOURCES}
BY_SHRINKAGE = [row for row in rows("movement") if row["shrinkage_pct"]]
TOP = EXAMPLES["E7"]
SEASONS = {
    "species": "black walnut",
    "mc_made_pct": Decimal(TOP["mc_start_pct"]),
    "mc_dry_pct": Decimal(TOP["mc_start_pct"]),
    "mc_humid_pct": Decimal(TOP["mc_end_pct"]),
}


@pytest.mark.parametrize("row", EXAMPLES.values(), ids=EXAMPLES)
def test_change_of_a_size(agrees, row):
    make, back = (inches, to_inches) if row["unit"] == "in" else (mm, to_mm)
    found = movement_for(
        MovementInputs(
            size_len=make(row["start_size"]),
            coefficient=Decimal(row["coefficient"]),
            mc_from_pct=Decimal(row["mc_start_pct"]),
            mc_to_pct=Decimal(row["mc_end_pct"]),
        )
    )
    printed = [(found.change_len, row["change"], 1), (found.end_len, row["end_size"], 2)]
    for ours, figure, places in printed:  # the size at the end is the sum of two rounded figures
        if figure:
            agrees(
                calculation="movement",
                kind="computed",
                ours=back(ours),
                printed=figure,
                within=places * half_a_place(figure),
                source=SOURCES[row["id"]],
                seen=row["provenance"],
                unit=row["unit"],
            )


# A moisture above 14 %: by the total shrinkage.
@pytest.mark.parametrize("row", BY_SHRINKAGE, ids=lambda row: row["id"])
def test_change_of_a_size_by_its_shrinkage(agrees, row):
    found = movement_for(
        MovementInputs(
            size_len=inches(row["start_size"]),
            coefficient=coefficient_from(Decimal(row["shrinkage_pct"])),
            mc_from_pct=Decimal(row["mc_start_pct"]),
            mc_to_pct=Decimal(row["mc_end_pct"]),
        )
    )
    agrees(
        calculation="movement",
        kind="computed",
        ours=to_inches(found.end_len),
        printed=row["end_size"],
        within=half_a_place(row["end_size"]),
        source=row["source"],
        seen=row["provenance"],
        unit="in",
    )


def test_a_board_by_its_species_and_cut(agrees):
    row = EXAMPLES["E1"]
    board = MovementInputs(
        size_len=inches(row["start_size"]),
        species="white fir",
        mc_from_pct=Decimal(row["mc_start_pct"]),
        mc_to_pct=Decimal(row["mc_end_pct"]),
    )
    agrees(
        calculation="movement",
        kind="computed",
        ours=to_inches(movement_for(board).change_len),
        printed=row["change"],
        within=half_a_place(row["change"]),
        source=SOURCES["E1"],
        seen=row["provenance"],
        unit="in",
    )


def both_edges_on_a_base():
    fixings = (inches(0), inches(TOP["start_size"]))
    found = attachment(OnBase(width_len=inches(TOP["start_size"]), fixings_len=fixings, **SEASONS))
    return sum(fixing.humid_len for fixing in found.fixings)


def a_panel_in_its_ends():
    end = BreadboardEnd(width_len=inches(TOP["start_size"]), flush="in the dry season", **SEASONS)
    return -2 * breadboard(end).reveal.humid_len


def a_channel_in_its_recess():
    wide = inches(TOP["start_size"]) + inches(8)  # 4 in free either side
    sizes = {"width_len": wide, "length_len": inches(96), "thickness_len": inches("7/4")}
    found = stiffening(Stiffeners(**sizes, **SEASONS))
    assert found.channel_len == inches(TOP["start_size"])
    return found.season_len


@pytest.mark.parametrize(
    "calculation, moved",
    [
        ("attachment", both_edges_on_a_base),
        ("breadboard", a_panel_in_its_ends),
        ("stiffening", a_channel_in_its_recess),
    ],
)
def test_what_lets_a_top_move_lets_it_move_that_far(agrees, calculation, moved):
    agrees(
        calculation=calculation,
        kind="computed",
        ours=to_inches(moved()),
        printed=TOP["change"],
        within=half_a_place(TOP["change"]),
        source=SOURCES["E7"],
        seen=TOP["provenance"],
        unit="in",
    )
