"""The least that has to be typed for each calculation, for one desk top; bare numbers in inches and °F."""

from __future__ import annotations

from collections.abc import Mapping

_TOP = {"length": "60", "width": "32", "thickness": "1 1/2"}
EXAMPLES: Mapping[str, Mapping[str, str]] = {
    "lumber": {**_TOP, "board_width": "7"},
    "layout": {"length": "60", "width": "32"},
    "joinery": {"length": "60", "thickness": "1 1/2", "joints": "4"},
    "gluing": {
        "strips": "6 1/2, 6 1/2, 6 1/2, 6 1/2, 6 1/2",
        "length": "62",
        "thickness": "1 1/2",
        "glue": "pva",
    },
    "clamping": {**_TOP, "outer": "6 1/2", "glue": "pva", "species": "white oak"},
    "emc": {"rh_pct": "45"},
    "movement": {"size": "32", "species": "white oak", "rh_low_pct": "30", "rh_high_pct": "60"},
    "settling": {"readings": "0 s, 9.6; 3 d, 9.0; 6 d, 8.6; 9 d, 8.3", "thickness": "2", "rh_pct": "40"},
    "curing": {"glue": "pva", "temp": "68"},
    "finishing": {**_TOP, "finish": "water-borne"},
    "sanding": {"length": "60", "width": "32"},
    "stiffening": {**_TOP, "species": "white oak"},
    "attachment": {"species": "white oak", "width": "32", "fixings": "4, 16, 28"},
    "breadboard": {"species": "white oak", "width": "32"},
    "sag": {**_TOP, "species": "white oak", "supports": "6, 54"},
    "weight": {**_TOP, "species": "white oak"},
    "lifting": {**_TOP, "species": "white oak"},
    "flips": {"works": "flatten, show; recesses, under; sand, show, flatten; oil, under, recesses + sand"},
    "access": {**_TOP, "doors": "30, 78"},
    "costing": {"labour": "milling, 12; finishing, 6.5", "rate": "65"},
}
