"""The tables of figures on a screen: their titles and the names of their columns."""

from django.utils.translation import gettext_lazy as _

RECESSES = (
    _("Recesses in the underside"),
    {
        "from_end_len": _("From the end"), "along_len": _("Along"), "from_edge_len": _("From the edge"),
        "across_len": _("Across"), "depth_len": _("Deep"),
    },
)  # fmt: skip
CHANNELS = (
    _("Channels"),
    {
        "count": _("How many"),
        "length_len": _("Length"),
        "width_len": _("Width"),
        "leg_len": _("Legs"),
        "wall_len": _("Wall"),
    },
)
TABLES: dict[tuple[str, str], tuple[str, dict[str, str]]] = {
    ("lumber", "to_buy"): (
        _("Boards to buy"),
        {"count": _("How many"), "width_len": _("Width"), "length_len": _("Length")},
    ),
    ("layout", "strips"): (
        _("Rip list"),
        {"label": _("Strip"), "width_len": _("Width"), "rings": _("Rings")},
    ),
    ("joinery", "edges"): (
        _("Slots by strip"),
        {"label": _("Strip"), "edges": _("Edges"), "slots": _("Slots")},
    ),
    ("gluing", "stages"): (
        _("Clampings in order"),
        {
            "number": _("No."),
            "joins": _("Joins"),
            "makes": _("Makes"),
            "assembly_s": _("Closed within"),
            "whole_s": _("Clamped within"),
            "glue_ml": _("Glue"),
        },
    ),
    ("clamping", "places"): (
        _("Clamps from the end as glued up, to 1/4 in or 5 mm"),
        {"at_len": _("From the end"), "side": _("Side")},
    ),
    ("clamping", "use"): (
        _("Clamps to take"),
        {"count": _("How many"), "kind": _("Kind"), "reach_len": _("Reach")},
    ),
    ("clamping", "clamps"): (
        _("Clamps of the shop"),
        {"owned": _("Owned"), "held": _("On other work"), "reach_len": _("Reach")},
    ),
    ("stiffening", "recesses"): RECESSES,
    ("joinery", "recesses"): RECESSES,
    ("weight", "channels"): CHANNELS,
    ("lifting", "channels"): CHANNELS,
    ("stiffening", "bolts"): (
        _("Bolts of a channel"),
        {
            "at_len": _("From its left end"),
            "fixed": _("Fixed"),
            "slot.slot_len": _("Slot"),
            "slot.inner_len": _("Bolt from the slot's inner end"),
        },
    ),
    ("breadboard", "pegs"): (
        _("Pegs"),
        {
            "at_len": _("From the left edge"),
            "round": _("Round hole"),
            "slot.slot_len": _("Slot"),
            "slot.inner_len": _("Peg from the slot's inner end"),
        },
    ),
    ("sanding", "ladder"): (
        _("Grits in order"),
        {"grade": _("Grit"), "ratio": _("Times finer"), "all_s": _("Time"), "discs": _("Discs")},
    ),
    ("sanding", "between"): (
        _("Grits between"),
        {"grade": _("Grit"), "skipped": _("Left out"), "why": _("Why")},
    ),
    ("finishing", "cans"): (_("Cans to buy"), {"count": _("How many"), "can_l": _("Size of a can")}),
    ("finishing", "calendar"): (
        _("Coats, from the first on"),
        {
            "coat": _("Coat"),
            "where": _("Where"),
            "earliest_s": _("Not before"),
            "latest_s": _("Without abrading until"),
        },
    ),
    ("flips", "steps"): (_("In this order"), {"what": _("What"), "people": _("People"), "carry": _("How")}),
}
"""Figures that come in rows: title, and the columns shown."""
