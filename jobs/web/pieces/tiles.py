"""Six tiles of a piece: the figures that a maker asks for, each with its calculation behind it."""

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from calcs.kit.units import format_length
from jobs.core.units import Units
from jobs.web.kit.formatting import hour_words, number_words
from jobs.web.pieces.figure_formatting import value_words
from jobs.web.pieces.summaries import LIFTED_BY

Result = dict[str, Any]


def tiles(piece: dict[str, Any], units: Units) -> list[dict[str, Any]]:
    """Return the tiles whose figures are worked out: label, figure, its unit, a second line, icon, key."""
    results = {name: kept["result"] for name, kept in piece["computed"].items() if kept.get("result")}
    found = [
        _boards(results.get("lumber"), str(piece["inputs"].get("species") or "")),
        _glue(results.get("gluing"), units),
        _clamps(results.get("clamping"), units),
        _weight(results.get("weight"), results.get("lifting"), units),
        _movement(results.get("movement"), units),
        _hours(piece),
    ]
    return [tile for tile in found if tile]


def _tile(key: str, label: str, icon: str, figure: str, unit: str, more: str) -> dict[str, Any]:
    return {"key": key, "label": label, "icon": icon, "figure": figure, "unit": unit, "more": more}


def _boards(result: Result | None, species: str) -> dict[str, Any] | None:
    if not result:
        return None
    of = _("of %(thick)s %(wood)s") % {"thick": result["quarters"], "wood": species.partition(" (")[0]}
    at_hand = len({strip["board"] for strip in result.get("hand_strips") or ()})
    buy = _("%(bf)s board ft to buy") % {"bf": number_words(result["buy_bf"])}
    if at_hand:
        buy = _("%(count)s at hand, %(buy)s") % {"count": at_hand, "buy": buy}
    return _tile("lumber", _("Boards"), "boards", str(result["boards"] + at_hand), of, buy)


def _glue(result: Result | None, units: Units) -> dict[str, Any] | None:
    if not result:
        return None
    figure, _space, unit = value_words("glue_ml", result["glue_ml"], units).partition(" ")
    stages, joints = result["stages"], sum(stage["joints"] for stage in result["stages"])
    sessions = ngettext("%(count)s session", "%(count)s sessions", len(stages)) % {"count": len(stages)}
    seams = ngettext("%(count)s joint", "%(count)s joints", joints) % {"count": joints}
    return _tile("gluing", _("Glue"), "drop", figure, unit, f"{sessions}, {seams}")


def _clamps(result: Result | None, units: Units) -> dict[str, Any] | None:
    if not result:
        return None
    reach = _("reach %(length)s") % {"length": format_length(result["reach_len"], units.length)}
    above = sum(place["side"] == "above" for place in result["places"])
    sides = _("%(above)s above, %(below)s below") % {"above": above, "below": len(result["places"]) - above}
    return _tile("clamping", _("Clamps"), "clamp", str(result["count"]), reach, sides)


def _weight(weight: Result | None, lifting: Result | None, units: Units) -> dict[str, Any] | None:
    if not weight:
        return None
    name = "each_kg" if units.length == "mm" else "each_lb"
    figure, _space, unit = value_words(name, weight[name], units).partition(" ")
    carried = str(LIFTED_BY[lifting["people"]]) if lifting else ""
    return _tile("weight", _("Weight"), "weight", figure, unit, carried)


def _movement(result: Result | None, units: Units) -> dict[str, Any] | None:
    if not result:
        return None
    across = format_length(result["change_len"], units.length)
    return _tile("movement", _("Movement"), "move", across, _("across"), _("between the seasons"))


def _hours(piece: dict[str, Any]) -> dict[str, Any]:
    stages = [s for s in piece["stages"] if not s["passive"]]
    spent = sum((s["minutes"] or 0) + (s["worked_min"] or 0) for s in stages)
    again = sum(a["minutes"] or 0 for s in stages for a in s["attempts"])
    figure, _space, unit = hour_words(spent + again).partition(" ")
    redone = _("%(time)s of it done again") % {"time": hour_words(again)}
    return _tile("", _("Hours"), "clock", figure, unit, redone if again else _("at work so far"))
