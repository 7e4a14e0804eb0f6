"""Read what the page of a stage shows."""

from datetime import datetime
from functools import partial
from typing import Any

from django.core.exceptions import PermissionDenied
from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.climate.settling import gate_figures
from jobs.domain.notes.picture_queries import picture_views, pictures_of
from jobs.domain.overviews.climate import usual_air
from jobs.domain.overviews.piece import piece_view
from jobs.domain.routes import cautions
from jobs.domain.settings import settings
from jobs.domain.stages.clampings import GLUING
from jobs.domain.stages.equipment_queries import clamps_for, clamps_held
from jobs.domain.stages.glue_today import glue_today
from jobs.domain.stages.left_open import at_the_clamps
from jobs.domain.stock.queries import glue_notes
from jobs.domain.waits.queries import read_routes
from jobs.models import Person
from jobs.web.commissions.history import measure_words, names_of_people
from jobs.web.kit.calls import units_of
from jobs.web.pieces.figures import calculations, drawn_on_page
from jobs.web.stages.notes import notes_here
from jobs.web.stages.pictures import PictureForm
from jobs.web.stages.wait_progress import drawn

Context = dict[str, Any]

DRAWN = {"layout", "joinery", "clamping", "stiffening"}
"""Calculations that the drawing shows."""
OPEN_TO_START = ("ready", "held")
OVER = ("done", "waiting")
BEGUN = ("under way", *OVER)
AHEAD = ("planned", *OPEN_TO_START, "under way")
"""Standings whose page carries the next forms too, for when there is no signal to fetch them."""


def read_stage(person: Person, number: str, key: str) -> Context:
    """Return a stage with its piece, waits and figures; refuse a maker an owner's stage."""
    now = timezone.now()
    if lookups.stage(number, key).spec["owner_only"] and not person.is_owner:
        raise PermissionDenied(_("This stage is for the owner of the shop."))
    piece = lookups.piece(number)
    commission = lookups.commission(piece.commission.number)
    read = read_routes([piece], more_rows=[commission, commission.client])
    units = units_of(person)
    view = piece_view(read.routes[0], read.texts, now=now, units=units, with_money=person.is_owner)
    stages = {s["key"]: s for s in view["stages"]}
    found = stages[key]
    names = names_of_people()
    waits = [drawn(w, now) for w in view["waits"]]
    return {
        "piece": view,
        "stage": found,
        "commission": commission,
        "title": read.texts[commission.title_ref],
        "clamps": clamps_for(read.routes[0], read.routes[0].by_key[key]),
        "clamps_held": clamps_held(read.routes[0].by_key[key]),
        "glue_notes": glue_notes(piece, found, today=timezone.localdate(now)),
        "metered": _metered(number, found["gates"], now),
        "held_by": [w for w in waits if key in w["holds"]],
        "left_running": [w for w in waits if w["stage"] == key],
        "missing": [stages[k] for k in found["missing"]],
        "started_by": names.get(found["started_by"], ""),
        "finished_by": names.get(found["finished_by"], ""),
        "measured": _measured(found, found["measured"], units),
        "attempts": [
            {
                **a,
                "started_by": names.get(a["started_by"], ""),
                "measured": _measured(found, a["measured"], units),
            }
            for a in found["attempts"]
        ],
        "pictures": picture_views(pictures_of([number], person, stage=key)),
        "picture_form": PictureForm(),
        "taught_notes": notes_here(person, piece, read.routes[0].stages, key),
        "first_caution": cautions()["first"],
        "at_the_bench": at_the_bench(found),
        "several": found["clampings"] if GLUING in found["calcs"] else None,
        "glue_now": partial(glue_today, read.routes[0], at=now),
        "says_later": at_the_clamps(read.routes[0].by_key[key]),
        "rules": [g for g in found["gates"] if "rule" in g],
        "drawing": drawn_on_page(view) if DRAWN & set(found["calcs"]) else None,
        "calculations": [c for c in calculations(view, units=units) if c["key"] in found["calcs"]],
    }


def at_the_bench(found: dict[str, Any]) -> str:
    """Return the name of the stage's full screen; empty where it has none."""
    if any(gate["key"] == "dry_fit_time" for gate in found["gates"]):
        return _("Time the dry fit")
    return _("Open time and clamps") if "gluing" in found["calcs"] else ""


def _metered(piece: str, gates: list[dict[str, Any]], now: datetime) -> dict[str, str]:
    """Return what the boards' moisture readings say of the measurements asked."""
    asked = {g["key"] for g in gates if g.get("unit") == "percent" and g["key"].startswith("moisture_")}
    if not asked:
        return {}
    figures = gate_figures(piece, now=now, air=usual_air(settings()))
    return {key: value for key, value in figures.items() if key in asked}


def _measured(found: dict[str, Any], values: dict[str, Any], units: Units) -> list[dict[str, Any]]:
    """Return the measurements, each with the gate that asked for it."""
    gates = {g["key"]: g for g in found["gates"] if "unit" in g}
    return [
        {
            "title": gates[key]["title"] if key in gates else key,
            "value": measure_words(value, gates.get(key, {}).get("unit", ""), units),
            "gate": gates.get(key),
        }
        for key, value in values.items()
    ]
