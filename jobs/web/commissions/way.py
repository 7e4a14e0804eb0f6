"""The way of a piece: its stages as stations, by phase of the work where they are more than nine."""

import re
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

Stages = list[dict[str, Any]]
MOST_SINGLE = 9
"""Stages that stand as stations of their own; more are grouped."""
SHOWN_AHEAD = 2
"""Stages of the present phase shown from the last that is active on."""
OVER = ("done", "skipped")
AGREED, WOOD, MADE, MILLED, GLUED, FLAT, SHAPED, FINISHED, DELIVERED, PAID = (
    gettext_lazy("Agreed"), gettext_lazy("Wood on the rack"), gettext_lazy("Made"),
    gettext_lazy("Milled and joined"), gettext_lazy("Glued up"), gettext_lazy("Flat"),
    gettext_lazy("Shaped and sanded"), gettext_lazy("Finished"), gettext_lazy("Delivered"),
    gettext_lazy("Paid and closed"),
)  # fmt: skip
PHASES = {
    AGREED: "survey",
    WOOD: "stock settle",
    MILLED: "rough-mill rest final-mill first rip parts layout joinery dry-fit sand-inside",
    GLUED: "plane-parts joint-parts glue-up scrape clamps-off cure-off mill-halves joint-halves dry-fit-join",
    FLAT: "rough-flatten sunken final-flatten",
    SHAPED: "stiffeners coat-steel fit-stiffeners square-ends breadboard-ends tongue breadboard-fit "
    "breadboard-glue breadboard-scrape breadboard-off breadboard-cure flush-ends edge-profile mark-before "
    "clean-up hardware-dry sand raise-grain resand",
    FINISHED: "seal build scuff wipe full-cure",
    DELIVERED: "mark-after refit final-check wrap deliver",
    PAID: "paid close",
}
BY_KEY = {key: phase for phase, keys in PHASES.items() for key in keys.split()}
BY_PLACE = {
    "rack": WOOD, "machines": MILLED, "clamps": GLUED, "finishing room": FINISHED, "road": DELIVERED,
}  # fmt: skip
"""The phase of a stage that a shop wrote itself; one at another place belongs to the phase before it."""
REPEATED = re.compile(r"-(\d+|[ab])$")


def way_of(stages: Stages) -> dict[str, Any]:
    """Return the stations of a piece, and how many of its stages are done."""
    done = sum(s["standing"] in OVER for s in stages)
    stations = _grouped(stages)
    if len(stages) <= MOST_SINGLE or len(stations) == 1:
        stations = [{"title": s["title"], "stages": [s], "parts": [], "single": s} for s in stages]
    for station in stations:
        station |= _standing(station["stages"])
    stations = _begun_together(stations)
    here = _mark_first(stations)
    if here and here["parts"]:
        _mark_first(here["parts"])
    elif here:
        here |= _around_now(here["stages"])
    for station in stations:
        station["look"] = _look(station)
    return {"stations": stations, "here": here, "done": done, "ahead": len(stages) - done}


def _look(station: dict[str, Any]) -> str:
    """Return the classes of a station: the piece is here or still has to come here; it waits here."""
    place = "here" if station.get("is_here") else "" if station["standing"] == "done" else "ahead"
    return f"{place} waits-here" if station["waits"] else place


def _around_now(stages: Stages) -> dict[str, Any]:
    """Return the stages of the present phase: those done, those around now, and those after them."""
    over = [s["standing"] in OVER for s in stages]
    active = [n for n, s in enumerate(stages) if s["standing"] not in (*OVER, "planned")]
    begin, end = over.index(False), max([over.index(False), *active]) + SHOWN_AHEAD
    before, ahead = stages[:begin], stages[end:]
    folded = {
        "before": {"title": _("%(count)s done") % {"count": len(before)}, "stages": before},
        "after": {"title": _("%(count)s more") % {"count": len(ahead)}, "stages": ahead},
    }
    return {"around": stages[begin:end], **{name: part for name, part in folded.items() if part["stages"]}}


def _begun_together(stations: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the stations with those that are long done as one; the last one done stays by itself."""
    done = next((n for n, one in enumerate(stations) if one["standing"] != "done"), len(stations)) - 1
    if done < 2:
        return stations
    first, last = stations[0]["title"], stations[done - 1]["title"]
    title = _("From %(first)s to %(last)s") % {"first": str(first).lower(), "last": str(last).lower()}
    stages = [stage for one in stations[:done] for stage in one["stages"]]
    whole = {"title": title, "parts": stations[:done], "stages": stages, **_standing(stages)}
    return [whole, *stations[done:]]


def _mark_first(stations: list[dict[str, Any]]) -> dict[str, Any] | None:
    """Mark the first station that is not done as the one where the piece is, and return it."""
    here = next((one for one in stations if one["standing"] != "done"), None)
    if here is not None:
        here["is_here"] = True
    return here


def _grouped(stages: Stages) -> list[dict[str, Any]]:
    """Return the stages by phase, in the order in which the route reaches each."""
    phases: dict[Any, Stages] = {}
    phase: Any = MADE
    for stage in stages:
        own = BY_PLACE.get(stage["place"]) or (MADE if phase is AGREED else phase)
        phase = BY_KEY.get(REPEATED.sub("", stage["key"]), own)
        phases.setdefault(phase, []).append(stage)
    return [{"title": title, "stages": of, "parts": _sessions(of)} for title, of in phases.items()]


def _sessions(stages: Stages) -> list[dict[str, Any]]:
    """Return the stages of a glue-up in several clampings by clamping; none where there is one."""
    found: dict[int, Stages] = {}
    for stage in stages:
        if stage["clamping"]:
            found.setdefault(stage["clamping"]["number"], []).append(stage)
    if len(found) < 2 or sum(map(len, found.values())) < len(stages):
        return []
    return [
        {
            "title": _("Session %(number)s, %(makes)s") % {"number": number, "makes": _made(of)},
            "stages": of,
            **_standing(of),
        }
        for number, of in sorted(found.items())
    ]


def _made(stages: Stages) -> str:
    return str(stages[0]["clamping"]["makes"]).replace("-", "–")


def _standing(stages: Stages) -> dict[str, Any]:
    """Return where a station stands, when its last stage ended and what is left of it in words."""
    over = [s for s in stages if s["standing"] in OVER]
    begun = any(s["started_at"] or s["standing"] in OVER for s in stages)
    ended = [s["finished_at"] for s in stages if s["finished_at"]]
    done = len(over) == len(stages)
    return {
        "standing": "done" if done else "begun" if begun else "ahead",
        "waits": any(s["standing"] in ("waiting", "held") for s in stages),
        "ended_at": max(ended) if done and ended else None,
        "says": _says(len(over), len(stages), begun=begun) if not done and len(stages) > 1 else "",
    }


def _says(done: int, stages: int, *, begun: bool) -> str:
    if begun:
        return _("%(done)s of %(stages)s done") % {"done": done, "stages": stages}
    return ngettext("%(count)s stage", "%(count)s stages", stages) % {"count": stages}
