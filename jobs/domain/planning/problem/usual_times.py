"""How long a kind of stage takes where neither log nor calculation says: common practice, no source."""

from jobs.domain.commissions.labour_rates import AREA, DRIVES, JOINT

UNKNOWN_MIN = 60.0
"""Minutes of a stage of a kind that is not listed, for each piece."""
USUAL_MIN: dict[str, float] = {
    "survey": 90, "stock": 120, "rough-mill": 120, "mill-halves": 120, "final-mill": 90, "parts": 120,
    "rip": 7, "layout": 4, "joinery": 10, "joint-halves": 60, "joint-parts": 20, "plane-parts": 30,
    "dry-fit": 3, "dry-fit-join": 20, "glue-up": 4, "glue-up-a": 25, "glue-up-b": 25, "scrape": 2.5,
    "scrape-a": 15, "scrape-b": 15, "clamps-off": 15, "clamps-off-a": 15, "clamps-off-b": 15,
    "rough-flatten": 4, "final-flatten": 5, "square-ends": 40, "flush-ends": 30, "tongue": 90,
    "breadboard-ends": 120, "breadboard-fit": 45, "breadboard-glue": 25, "breadboard-scrape": 15,
    "breadboard-off": 15, "stiffeners": 120, "fit-stiffeners": 60, "coat-steel": 45, "refit": 30,
    "edge-profile": 45, "mark-before": 15, "mark-after": 15, "sand-inside": 45, "sand": 10,
    "raise-grain": 0.8, "resand": 1.5, "seal": 1.2, "build": 1, "scuff": 1, "abrade": 2, "wipe": 20,
    "clean-up": 60, "final-check": 30, "wrap": 30, "deliver": 120,
}  # fmt: skip
"""Minutes per joint, square foot or piece, as ``DRIVES`` says of the kind."""
USUAL_AREA_FT2, USUAL_JOINTS = 15, 6
"""Size of a piece that has none: a top for four, of seven strips."""
GLUE_SETUP_MIN = 15.0
"""Minutes to lay out clamps, cauls and paper before the first glue is on."""
TURN_MIN = 4.0
"""Minutes to turn a top over, or to fetch what turns it."""
TURNED = frozenset({"rough-flatten", "final-flatten", "sand", "resand", "seal"})
"""Kinds of stages that work on both faces."""
FEET_OF_ONE = 8
"""Length of a top [ft] over which gluing up asks for a second pair of hands."""


def usual_min(kind: str) -> tuple[float, float]:
    """Return the usual minutes of a kind for one unit, and the units of a piece without sizes."""
    drive = DRIVES.get(kind, "")
    units = {JOINT: USUAL_JOINTS, AREA: USUAL_AREA_FT2}.get(drive, 1)
    return USUAL_MIN.get(kind, UNKNOWN_MIN), float(units)
