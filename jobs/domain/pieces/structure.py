"""Breadboard ends of a top, its base, and the way in to where it will stand."""

from typing import Any

from calcs.handling.access_inputs import Cabin, Door, Turn, WayIn
from calcs.kit.errors import OutOfRange
from calcs.kit.units import both_units, inches
from calcs.structure.attachment import APART_SOURCE, OnBase, attachment, places_on_rail
from calcs.structure.breadboard_inputs import BreadboardEnd
from calcs.structure.loaded_top import LoadedTop, PointLoad
from calcs.structure.tipping_inputs import LEANING_KG, OnFeet
from calcs.tables import PRACTICE
from calcs.wood.weight import weight
from jobs.domain.pieces.context import CalculationContext, result_record
from jobs.domain.pieces.extra_inputs import CEILING, DOOR, LIFT, TURN, mass_of
from jobs.domain.pieces.lumber import weighed

RAILS = 2
"""Rails across the grain that a base is taken to have, one at each support; common practice, no source."""
INSET = inches(8)
"""Difference of a rail to the width of the top, where no feet are told; common practice, no source."""

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


def sagging(piece: CalculationContext) -> LoadedTop:
    """Return the top on its supports: what stays on it, and somebody leaning in the middle of the span."""
    left, span = _supports(piece)
    leaning = PointLoad(load_kg=LEANING_KG, at_len=min(left + span // 2, piece.inputs["length_len"]))
    return LoadedTop(
        **piece.sizes,
        species=piece.wood,
        supports_len=(left, left + span),
        load_kg=mass_of(piece.inputs, "top_load"),
        points=(leaning,),
    )


def _supports(piece: CalculationContext) -> tuple[int, int]:
    """Return where the left support is, and how far apart they are [1/8 µm]; refuse what does not fit."""
    length, span = piece.inputs["length_len"], piece.inputs["span_len"]
    left = piece.inputs.get("overhang_len")
    left = (length - span) // 2 if left is None else left
    if left < 0 or left + span > length:
        says = f"the supports reach past the top, {both_units(length)} long"
        raise OutOfRange(says, field="span", value=both_units(span), allowed="inside the top")
    return left, span


def on_feet(piece: CalculationContext) -> OnFeet:
    """Return the top on its feet; as far along it as its supports are apart unless asked otherwise."""
    inputs = piece.inputs
    long = inputs.get("feet_length_len") or inputs["span_len"]
    left = None
    if inputs.get("overhang_len") is not None and inputs.get("span_len") is not None:
        begins, span = _supports(piece)
        left = begins + (span - long) // 2
    return OnFeet(
        length_len=inputs["length_len"],
        width_len=inputs["width_len"],
        top_kg=weight(weighed(piece)).each_kg,
        feet_length_len=long,
        feet_width_len=inputs["feet_width_len"],
        left_len=left,
        base_kg=mass_of(inputs, "base_weight"),
    )


def fixings(piece: CalculationContext) -> dict[str, Any] | None:
    """Return the fixings of a piece with a base, on a rail at each support."""
    inputs = piece.inputs
    if inputs.get("base", "none") == "none":
        return None
    width = inputs["width_len"]
    rail = min(inputs.get("feet_width_len") or width - INSET, width)
    asked = OnBase(
        width_len=width,
        fixings_len=places_on_rail(width_len=width, rail_len=rail),
        how=inputs.get("fixing", "slots"),
        rails=RAILS,
        **piece.seasons,
    )
    made = result_record(asked, attachment(asked), "counted on a rail across the grain at each support")
    made["source"] = [*made["source"], APART_SOURCE, f"two rails, length of a rail: {PRACTICE}"]
    return made


def way_in(piece: CalculationContext) -> WayIn | None:
    """Return the top and the way that it has to go; None without any place on it."""

    def sizes(names: tuple[str, ...]) -> list[int]:
        return [size for name in names if (size := piece.inputs.get(f"{name}_len")) is not None]

    doors, turns, lifts, ceiling = (sizes(names) for names in (DOOR, TURN, LIFT, (CEILING,)))
    if not (doors or turns or lifts or ceiling):
        return None
    return WayIn(
        **piece.sizes,
        doors=(Door(width_len=doors[0], height_len=doors[1]),) if doors else (),
        turns=(Turn(into_len=turns[0], out_len=turns[1], height_len=turns[2]),) if turns else (),
        lifts=(_cabin(lifts),) if lifts else (),
        ceiling_len=ceiling[0] if ceiling else None,
    )


def _cabin(sizes: list[int]) -> Cabin:
    wide, deep, high, door_wide, door_high = sizes
    return Cabin(
        width_len=wide, depth_len=deep, height_len=high, door_width_len=door_wide, door_height_len=door_high
    )
