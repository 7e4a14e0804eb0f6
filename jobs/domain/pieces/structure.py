"""Breadboard ends of a top."""

from typing import Any

from calcs.structure.breadboard_inputs import BreadboardEnd
from jobs.domain.pieces.context import CalculationContext

END_FIELDS = {
    "tongue_thickness_len": "tongue_thick_len",
    "peg_diameter_len": "peg_len",
    "peg_edge_len": "peg_edge_len",
    "peg_play_len": "tolerance_len",
    "glued_middle_len": "glued_len",
    "pegs": "pegs",
    "flush": "flush",
}
"""Input of a piece -> input of the calculation, which has a default for what is not given."""


def breadboard_ends(piece: CalculationContext) -> BreadboardEnd | None:
    """Return the ends as asked; None where the route makes none."""
    if not piece.has_ends:
        return None
    inputs = piece.inputs
    own: dict[str, Any] = {
        name: inputs[given] for given, name in END_FIELDS.items() if inputs.get(given) is not None
    }
    return BreadboardEnd(
        width_len=inputs["width_len"],
        thickness_len=inputs["thickness_len"],
        **piece.ends,
        **own,
        **piece.seasons,
    )
