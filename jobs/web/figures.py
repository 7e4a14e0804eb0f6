"""Results of the calculations as rows of a screen: a label and a value in the reader's units."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from calcs.units import format_duration, format_length, format_temperature
from jobs.gates import Units
from jobs.web.labels import LABELS, TITLES
from jobs.web.words import number_words

Result = dict[str, Any]
UNITS_BY_END = (
    ("_kg_m3", "kg/m³"),
    ("_m2", "m²"),
    ("_bf", "board ft"),
    ("_um", "µm"),
    ("_kg", "kg"),
    ("_lb", "lb"),
    ("_l", "L"),
    ("_pct", "%"),
    ("mc_from", "%"),
    ("mc_to", "%"),
    ("rh_low", "%"),
    ("rh_high", "%"),
)
MONEY = ("cost", "price_per_bf")
TOLD_APART = ("strips", "warnings", "cautions")
"""Figures that are drawn or listed on their own rather than in the table."""
PLACES = {name: n for n, name in enumerate(LABELS)}
SENTENCES = ("planing", "witness", "reason")
"""Figures that are whole sentences."""


def calculations(piece: dict[str, Any], *, units: Units, currency: str = "") -> list[dict[str, Any]]:
    """Every calculation of a piece's route: its figures, or why there are none."""
    computed = piece["computed"]
    asked = [c for s in piece["stages"] for c in s["calcs"]]
    names = dict.fromkeys([*computed, *asked])
    order = [n for n in TITLES if n in names] + [n for n in names if n not in TITLES]
    return [_shown(name, computed.get(name), units, currency) for name in order]


def _shown(name: str, kept: dict[str, Any] | None, units: Units, currency: str) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "key": name,
        "title": TITLES.get(name, name.capitalize()),
        "missing": kept is None,
    }
    if kept is None:
        return shown
    if "refused" in kept:
        return {**shown, "refused": kept["refused"].replace(kept["field"], label(kept["field"]), 1)}
    result = kept["result"]

    def rows(values: Result) -> list[dict[str, str]]:
        telling = [k for k, v in values.items() if _worth_telling(k, v, units)]
        return [
            {
                "label": label(k),
                "value": _money(values[k], currency) if k in MONEY else value_words(k, values[k], units),
            }
            for k in sorted(telling, key=_place)
        ]

    return {
        **shown,
        "headline": HEADLINES[name](result, units) if name in HEADLINES else "",
        "rows": rows(result),
        "inputs": rows(kept["inputs"]),
        "notes": [*(f"{label(k)}: {result[k]}" for k in SENTENCES if result.get(k)), *kept["notes"]],
        "warnings": [*result.get("warnings", []), *result.get("cautions", [])],
        "sources": [source_words(s) for s in dict.fromkeys(kept["source"])],
        "layout": layout(result, units) if name == "layout" else None,
    }


def _place(name: str) -> int:
    """Figures stand in the order in which they are named."""
    return PLACES.get(name, len(PLACES))


def _worth_telling(name: str, value: Any, units: Units) -> bool:
    if name in SENTENCES or (name in TOLD_APART and isinstance(value, list)):
        return False
    if value is None or value is False or value == "":
        return False
    return not name.endswith("_lb" if units.length == "mm" else "_kg")


def _money(value: Any, currency: str) -> str:
    return f"{Decimal(value):,.2f} {currency}".strip()


def label(name: str) -> str:
    """A figure's name in words."""
    return LABELS.get(name) or name.rsplit("_", 1)[0].replace("_", " ").capitalize()


def source_words(source: str) -> str:
    """A source, with the figure it is about by its name on screen."""
    figure, colon, rest = source.partition(": ")
    return f"{label(figure)}: {rest}" if colon and figure in LABELS else source


def value_words(name: str, value: Any, units: Units) -> str:
    """A figure with its unit, told by the end of its name."""
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if name.endswith("_len") and isinstance(value, int):
        return format_length(value, units.length)
    if name.endswith("_s") and isinstance(value, int):
        return format_duration(value)
    if name.endswith("_c"):
        return format_temperature(Decimal(value), units.temperature)
    for end, unit in UNITS_BY_END:
        if name.endswith(end):
            return f"{number_words(value)} {unit}"
    return str(value)


def _lumber(result: Result, units: Units) -> str:
    return f"{result['boards']} boards of {result['quarters']}, {number_words(result['buy_bf'])} board ft"


def _layout(result: Result, units: Units) -> str:
    return f"{result['count']} strips of {format_length(result['strip_len'], units.length)}"


def _movement(result: Result, units: Units) -> str:
    return f"{format_length(result['change_len'], units.length)} between the seasons"


def _curing(result: Result, units: Units) -> str:
    if result["unclamp_s"] is None:
        return "no ready time"
    unclamp, machine = format_duration(result["unclamp_s"]), format_duration(result["machine_s"])
    return f"clamps off after {unclamp}, machine after {machine}"


def _finishing(result: Result, units: Units) -> str:
    coats = result["sealing_coats"] + result["build_coats"]
    again = format_duration(result["recoat_from_s"])
    return f"{coats} coats, {number_words(result['total_l'])} L, next coat after {again}"


def _weight(result: Result, units: Units) -> str:
    unit = "kg" if units.length == "mm" else "lb"
    return f"{number_words(result[f'all_{unit}'])} {unit}"


def _lifting(result: Result, units: Units) -> str:
    people = result["people"]
    return str(result["carry"]) if not people else "1 person" if people == 1 else f"{people} people"


HEADLINES: dict[str, Callable[[Result, Units], str]] = {
    "lumber": _lumber,
    "layout": _layout,
    "movement": _movement,
    "curing": _curing,
    "finishing": _finishing,
    "weight": _weight,
    "lifting": _lifting,
}
"""The one line of a calculation that is read most."""


def changes(piece: dict[str, Any], units: Units) -> list[dict[str, str]]:
    """What the last change of the piece did to its figures."""
    return [
        {
            "calculation": TITLES.get(c["calculation"], c["calculation"]),
            "figure": label(c["figure"]),
            "before": value_words(c["figure"], c["before"], units),
            "after": value_words(c["figure"], c["after"], units),
        }
        for c in piece["changed"]
    ]


def layout(result: dict[str, Any], units: Units) -> dict[str, Any]:
    """The strips as drawn: positions and widths of each in a drawing 1000 wide."""
    whole = result["sum_len"]
    return {
        "strips": [
            {
                "label": s["label"],
                "x": round(1000 * s["left_len"] / whole, 1),
                "width": round(1000 * s["width_len"] / whole, 1),
                "middle": round(1000 * (s["left_len"] + s["width_len"] / 2) / whole, 1),
                "size": format_length(s["width_len"], units.length),
                "rings": s["rings"],
            }
            for s in result["strips"]
        ],
        "heart_down": [s["label"] for s in result["strips"] if s["rings"] == "heart side down"],
    }
