"""Inputs that only some pieces have: a grade, breadboard ends, a base, the way in. Each may stay empty."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from calcs.asking.field_types import Habit, Number
from calcs.kit.typed import plain_whole
from calcs.kit.units import inches
from calcs.lumber.lumber_inputs import GRADES
from calcs.structure.breadboard_inputs import FLUSH
from jobs.core.errors import Invalid
from jobs.core.units import Units

ENDS: dict[str, tuple[int, int]] = {
    "end_width": (inches(1), inches(24)),
    "tongue_depth": (inches("1/4"), inches(12)),
    "tongue_thickness": (inches("1/8"), inches(4)),
    "peg_diameter": (inches("1/8"), inches(1)),
    "peg_edge": (inches("1/2"), inches(60)),
    "peg_play": (0, inches("1/2")),
    "glued_middle": (inches(1), inches(120)),
}
BASE: dict[str, tuple[int, int]] = {
    "span": (inches(6), inches(360)),
    "overhang": (0, inches(180)),
    "feet_length": (inches(2), inches(360)),
    "feet_width": (inches(2), inches(120)),
}
DOOR, TURN = ("door_width", "door_height"), ("turn_into", "turn_out", "turn_height")
LIFT = ("lift_width", "lift_depth", "lift_height", "lift_door_width", "lift_door_height")
CEILING = "ceiling"
WAY: dict[str, tuple[int, int]] = dict.fromkeys((*DOOR, *TURN, *LIFT, CEILING), (inches(4), inches(1200)))
EXTRA_LENGTHS = {**ENDS, **BASE, **WAY}
"""Least and most of each [1/8 µm]: what the calculation takes that it is for."""
NOT_TOLD = "not told"
USUAL_BOARDS, RESERVED_BOARDS = "usual boards", "reserved boards"
EXTRA_CHOICES: dict[str, tuple[str, ...]] = {
    "grade": (NOT_TOLD, *GRADES),
    "strips_from": (USUAL_BOARDS, RESERVED_BOARDS),
    "flush": FLUSH,
    "base": ("none", "legs", "trestles", "frame", "cabinet"),
    "fixing": ("slots", "buttons", "figure-eights"),
}
EXTRA_DEFAULTS = {
    "grade": NOT_TOLD,
    "strips_from": USUAL_BOARDS,
    "flush": FLUSH[0],
    "base": "none",
    "fixing": "slots",
}
PEGS = (1, 15)
MASSES: dict[str, Number] = {
    "base_weight": Number("weight of the base", "0", "2000", "kg"),
    "top_load": Number("load that stays on the top", "0", "5000", "kg"),
}
EXTRA_FIELDS = (*EXTRA_LENGTHS, *EXTRA_CHOICES, "pegs", *MASSES)
TOGETHER = {"door": DOOR, "turn": TURN, "lift": LIFT}
"""Parts of the way in whose sizes are needed together."""


def read_extras(given: Mapping[str, Any], inputs: dict[str, Any], units: Units) -> None:
    """Read pegs and masses into the inputs; refuse a door, turn or lift of which a size is missing."""
    if "pegs" in given:
        inputs["pegs"] = _pegs(given["pegs"])
    inputs.setdefault("pegs", None)
    for name, kind in MASSES.items():
        if name in given:
            text = str(given[name]).strip()
            mass = kind.read(text, name, Habit(length=units.length))
            inputs[f"{name}_kg"], inputs["typed"][name] = f"{mass.normalize():f}", _echo(text, units)
        inputs.setdefault(f"{name}_kg", None)
    if inputs["strips_from"] == RESERVED_BOARDS and inputs["quantity"] > 1:
        says = "strips as wide as the reserved boards are laid out for one top"
        raise Invalid(says, field="strips_from", value=RESERVED_BOARDS, allowed=f"{USUAL_BOARDS}, or one top")
    for what, names in TOGETHER.items():
        missing = [name for name in names if inputs.get(f"{name}_len") is None]
        if missing and len(missing) < len(names):
            says = f"a {what} needs all its sizes: {', '.join(missing)} missing"
            raise Invalid(says, field=missing[0], value="", allowed=", ".join(names))
    _check_feet(inputs)


def _check_feet(inputs: Mapping[str, Any]) -> None:
    """Refuse feet of which only one side is known; along the top the supports tell it too."""
    wide, long, span = (inputs.get(f"{name}_len") for name in ("feet_width", "feet_length", "span"))
    missing = "feet_width" if long and not wide else "feet_length" if wide and not (long or span) else ""
    if missing:
        raise Invalid("feet need both sizes", field=missing, value="", allowed="a length")


def mass_of(inputs: Mapping[str, Any], name: str) -> Decimal:
    """Return a mass of a piece [kg]; 0 where none is given."""
    return Decimal(inputs.get(f"{name}_kg") or 0)


def _pegs(value: Any) -> int:
    number = plain_whole(value)
    least, most = PEGS
    if number is None or not least <= number <= most or number % 2 == 0:
        allowed = f"an odd number from {least} to {most}, one in the middle"
        raise Invalid(
            f"there cannot be {str(value)[:40]} pegs", field="pegs", value=str(value)[:40], allowed=allowed
        )
    return number


def _echo(text: str, units: Units) -> str:
    """Return a typed mass; a bare number gets the unit it was read in."""
    if any(sign.isalpha() for sign in text):
        return text
    return f"{text} {'lb' if units.length == 'in' else 'kg'}"
