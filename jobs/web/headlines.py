"""The one line of a calculation that is read most."""

from collections.abc import Callable
from typing import Any

from calcs.units import format_duration, format_length
from jobs.gates import Units
from jobs.web.figure_words import value_words
from jobs.web.words import number_words

Result = dict[str, Any]
NOTHING = "nothing to do"


def headline(name: str, result: Result, units: Units) -> str:
    """The line of a calculation; empty where it has none."""
    if not result:
        return NOTHING
    return HEADLINES[name](result, units) if name in HEADLINES else ""


def _lumber(result: Result, units: Units) -> str:
    return f"{result['boards']} boards of {result['quarters']}, {number_words(result['buy_bf'])} board ft"


def _layout(result: Result, units: Units) -> str:
    return f"{result['count']} strips of {format_length(result['strip_len'], units.length)}"


def _joinery(result: Result, units: Units) -> str:
    places = len(result["positions_len"])
    return f"{places} along each joint, {result['joiner']}, {result['buy']} to buy"


def _gluing(result: Result, units: Units) -> str:
    stages = len(result["stages"])
    how = "in one go" if stages == 1 else f"in {stages} clampings"
    return f"{value_words('glue_ml', result['glue_ml'], units)}, {how}"


def _clamping(result: Result, units: Units) -> str:
    return f"{result['count']} clamps that reach {format_length(result['reach_len'], units.length)}"


def _movement(result: Result, units: Units) -> str:
    return f"{format_length(result['change_len'], units.length)} between the seasons"


def _curing(result: Result, units: Units) -> str:
    if result["unclamp_s"] is None:
        return "no ready time"
    unclamp, machine = format_duration(result["unclamp_s"]), format_duration(result["machine_s"])
    return f"clamps off after {unclamp}, machine after {machine}"


def _stiffening(result: Result, units: Units) -> str:
    return f"{result['count']} channels of {format_length(result['channel_len'], units.length)}"


def _breadboard(result: Result, units: Units) -> str:
    clear = format_length(result["clearance_len"], units.length)
    return f"{len(result['pegs'])} pegs, {clear} free at either end of the tongue"


def _sanding(result: Result, units: Units) -> str:
    return f"{', '.join(grit['grade'] for grit in result['ladder'])}; {format_duration(result['all_s'])}"


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


def _flips(result: Result, units: Units) -> str:
    fewest, saved = result["fewest"], result["saved"]
    return f"{fewest} turns" + (f", {saved} fewer than face by face" if saved else "")


HEADLINES: dict[str, Callable[[Result, Units], str]] = {
    "lumber": _lumber,
    "layout": _layout,
    "joinery": _joinery,
    "gluing": _gluing,
    "clamping": _clamping,
    "movement": _movement,
    "curing": _curing,
    "stiffening": _stiffening,
    "breadboard": _breadboard,
    "sanding": _sanding,
    "finishing": _finishing,
    "weight": _weight,
    "lifting": _lifting,
    "flips": _flips,
}
