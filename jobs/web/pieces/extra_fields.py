"""Fields of a piece that only some pieces have: breadboard ends, a base, the way in."""

from django.utils.translation import gettext_lazy

from jobs.domain.pieces.extra_inputs import BASE, CEILING, DOOR, LIFT, TURN

OF_ENDS = gettext_lazy("Breadboard ends")
OF_BASE = gettext_lazy("Base and supports")
OF_WAY = gettext_lazy("The way in")
LABELS = {
    "grade": gettext_lazy("Grade of the boards"),
    "strips_from": gettext_lazy("Strips are as wide as"),
    "end_width": gettext_lazy("Width of an end"),
    "tongue_depth": gettext_lazy("Tongue, into the end"),
    "tongue_thickness": gettext_lazy("Tongue, thickness"),
    "pegs": gettext_lazy("Pegs in an end"),
    "peg_diameter": gettext_lazy("Peg, diameter"),
    "peg_edge": gettext_lazy("Outermost peg from the edge"),
    "peg_play": gettext_lazy("Play in a slot"),
    "glued_middle": gettext_lazy("Glued in the middle"),
    "flush": gettext_lazy("Ends flush"),
    "base": gettext_lazy("Base"),
    "span": gettext_lazy("Between the supports"),
    "overhang": gettext_lazy("Past the left support"),
    "feet_length": gettext_lazy("Feet, along the top"),
    "feet_width": gettext_lazy("Feet, across the top"),
    "base_weight": gettext_lazy("Weight of the base"),
    "top_load": gettext_lazy("What stays on the top"),
    "fixing": gettext_lazy("Fixed by"),
    "door_width": gettext_lazy("Narrowest door, width"),
    "door_height": gettext_lazy("Its height"),
    "turn_into": gettext_lazy("Turn of stair or hall, width before"),
    "turn_out": gettext_lazy("Width after the turn"),
    "turn_height": gettext_lazy("Headroom at the turn"),
    "lift_width": gettext_lazy("Elevator cab, width"),
    "lift_depth": gettext_lazy("Elevator cab, depth"),
    "lift_height": gettext_lazy("Elevator cab, height"),
    "lift_door_width": gettext_lazy("Elevator door, width"),
    "lift_door_height": gettext_lazy("Elevator door, height"),
    "ceiling": gettext_lazy("Ceiling of the room"),
}
HINTS = {
    "end_width": gettext_lazy('Empty: 4"'),
    "tongue_depth": gettext_lazy("Empty: half the width of the end"),
    "tongue_thickness": gettext_lazy("Empty: a third of the thickness"),
    "pegs": gettext_lazy("An odd number; empty: 3"),
    "peg_diameter": gettext_lazy('Empty: 3/8"'),
    "peg_edge": gettext_lazy('Empty: 3"'),
    "peg_play": gettext_lazy('Empty: 1/16"'),
    "glued_middle": gettext_lazy('Empty: 6"; more may split the top'),
    "span": gettext_lazy("Middle to middle; empty: sag is not asked"),
    "overhang": gettext_lazy("Empty: the same at both ends"),
    "feet_length": gettext_lazy("Outside to outside; empty: as between the supports"),
    "feet_width": gettext_lazy("Outside to outside; empty: tipping is not asked"),
    "base_weight": gettext_lazy("Such as 40 lb or 18 kg; empty: counted as nothing"),
    "top_load": gettext_lazy("Spread over it, such as 60 lb"),
    "door_width": gettext_lazy("In the clear: stops and handles count"),
    "turn_height": gettext_lazy("At right angles to a flight"),
}
GROUPS = (
    (
        OF_ENDS,
        (
            "end_width", "tongue_depth", "tongue_thickness", "pegs", "peg_diameter", "peg_edge", "peg_play",
            "glued_middle", "flush",
        ),
    ),
    (OF_BASE, ("base", *BASE, "base_weight", "top_load", "fixing")),
    (OF_WAY, (*DOOR, *TURN, *LIFT, CEILING)),
)  # fmt: skip
