"""Read what the page of a stage shows."""

import uuid
from datetime import datetime, timedelta
from functools import partial
from typing import Any

from django.core.exceptions import PermissionDenied
from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.commissions.stage_card import stage_card
from jobs.domain.notes.picture_queries import picture_views, pictures_of
from jobs.domain.overviews.piece import piece_view
from jobs.domain.planning.assignments import people_here
from jobs.domain.routes import cautions
from jobs.domain.stages.clampings import GLUING
from jobs.domain.stages.equipment_queries import clamps_for, clamps_held
from jobs.domain.stages.glue_today import glue_today
from jobs.domain.stages.left_open import at_the_clamps
from jobs.domain.stages.preconditions import shown_ground
from jobs.domain.stock.queries import glue_notes
from jobs.domain.waits.queries import read_routes
from jobs.domain.waits.route import RouteState, may_begin, times_of
from jobs.models import Person, Stage
from jobs.web.commissions.history import measure_words, names_of_people
from jobs.web.kit.calls import units_of
from jobs.web.kit.formatting import hour_words, near_words, span_words
from jobs.web.kit.stored_translations import capital
from jobs.web.pieces.figure_formatting import value_words
from jobs.web.pieces.figures import calculations, drawn_on_page
from jobs.web.pieces.summaries import LIFTED_BY
from jobs.web.stages.notes import notes_here
from jobs.web.stages.wait_progress import drawn

Context = dict[str, Any]
LIFTING = "lifting"

DRAWN = {
    "layout": "glue-up",
    "joinery": "glue-up",
    "gluing": "glue-up",
    "clamping": "glue-up",
    "stiffening": "underside",
    "breadboard": "breadboard",
}
"""The view that shows what a calculation says."""
OPEN_TO_START = ("ready", "held")
OVER = ("done", "waiting")
BEGUN = ("under way", *OVER)
TO_WORK = ("planned", "under way")
OUTSIDE = ("office", "road")
"""Places of stages that are not done in the shop."""
SOON = timedelta(hours=6)
"""A stage that opens within this time is waited for at the piece."""
AHEAD = ("planned", *OPEN_TO_START, "under way")
"""Standings whose page carries the next forms too, for when there is no signal to fetch them."""


def read_stage(person: Person, number: str, key: str) -> Context:
    """Return a stage with its piece, waits and figures; refuse a maker an owner's stage."""
    now = timezone.now()
    piece = lookups.piece(number)
    commission = lookups.commission(piece.commission.number)
    read = read_routes([piece], more_rows=[commission, commission.client])
    row = read.routes[0].by_key.get(key) or lookups.stage(number, key)
    if row.spec["owner_only"] and not person.is_owner:
        raise PermissionDenied(_("This stage is for the owner of the shop."))
    units = units_of(person)
    view = piece_view(read.routes[0], read.texts, now=now, units=units, with_money=person.is_owner)
    stages = {s["key"]: s for s in view["stages"]}
    found = stages[key]
    names = names_of_people()
    waits = [drawn(w, now) for w in view["waits"]]
    card = stage_card(read.routes[0], row, shown_ground(read.routes[0], now, units))
    held_by = [w for w in waits if key in w["holds"]]
    started_by = names.get(found["started_by"], "")
    return {
        "piece": view,
        "stage": found,
        "commission": commission,
        "title": read.texts[commission.title_ref],
        "clamps": clamps_for(read.routes[0], row),
        "clamps_held": clamps_held(row),
        "glue_notes": glue_notes(piece, found, today=timezone.localdate(now)),
        "card": card,
        "due": due_chips(found, card, held_by, started_by=started_by, now=now),
        "then": then_words(card) if found["step"] in TO_WORK else "",
        "safe": safe_lines(found, view["computed"], units, is_whole=_is_whole(stages, found)),
        "safe_in_full": found["step"] == "planned"
        and any(c["key"] not in card["met"] for c in found["cautions"]),
        "is_over": found["standing"] in (*OVER, "skipped"),
        "held_by": held_by,
        "left_running": [w for w in waits if w["stage"] == key],
        "missing": [stages[k] for k in found["missing"]],
        "started_by": started_by,
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
        "taught_notes": notes_here(person, piece, read.routes[0].stages, key),
        "first_caution": cautions()["first"],
        "given": _given(found) if found["step"] in TO_WORK and not found["passive"] else None,
        "at_the_bench": at_the_bench(found),
        "several": found["clampings"] if GLUING in found["calcs"] else None,
        "glue_now": partial(glue_today, read.routes[0], at=now),
        "says_later": at_the_clamps(row),
        "rules": [g for g in found["gates"] if "rule" in g],
        "drawings": drawn_on_page(view, units, _drawn_here(found)),
        "next": _next(view, found),
        "calculations": [c for c in calculations(view, units=units) if c["key"] in found["calcs"]],
    }


def _drawn_here(found: Context) -> set[str]:
    """Return the views that a stage works by, until it is done."""
    return {DRAWN[name] for name in found["calcs"] if name in DRAWN} if found["step"] in TO_WORK else set()


def goes_on_with(person: Person, number: str) -> str:
    """Return the stage of a piece to go on with in the shop, now or soon; empty where there is none.

    What is done in the office or on the road begins on the commission. A stage given to somebody else is
    left to them.
    """
    route, now = RouteState(lookups.piece(number)), timezone.now()
    opens = {
        stage.key: _opens(route, stage, now)
        for stage in route.stages
        if stage.spec["place"] not in OUTSIDE
        and not stage.spec["passive"]
        and stage.given_to in ("", person.id)
        and route.open_to(stage)
    }
    soon = [key for key, at in opens.items() if at is not None and at <= now + SOON]
    return min(soon, key=lambda key: opens[key] or now, default="")


def _opens(route: RouteState, stage: Stage, now: datetime) -> datetime | None:
    """Return when the waits before a stage are over, now at the earliest; None where nobody can say."""
    times = [now if may_begin(wait, now) else times_of(wait)[0] for wait in route.holding(stage)]
    return max([now, *filter(None, times)]) if all(times) else None


def at_the_bench(found: dict[str, Any]) -> str:
    """Return the name of the stage's full screen; empty where it has none."""
    if any(gate["key"] == "dry_fit_time" for gate in found["gates"]):
        return _("Time the dry fit")
    return _("Open time and clamps") if "gluing" in found["calcs"] else ""


def _is_whole(stages: dict[str, dict[str, Any]], found: dict[str, Any]) -> bool:
    """Return whether the piece is one thing by this stage: it is glued up, or is made of one board."""
    glued = [n for n, stage in enumerate(stages.values()) if GLUING in stage["calcs"]]
    return list(stages).index(found["key"]) >= min(glued, default=0)


def _next(view: dict[str, Any], found: dict[str, Any]) -> dict[str, Any] | None:
    """Return the stage of the piece to go on with, where it is another one."""
    others = [s for s in view["stages"] if s["key"] in view["next"] and s["key"] != found["key"]]
    under_way = [s for s in others if s["standing"] == "under way"]
    return next(iter(under_way or others), None)


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


def due_chips(
    stage: Context, card: Context, held_by: list[Context], *, started_by: str, now: datetime
) -> list[Context]:
    """Return what presses on a stage as chips: how, drawing, words, and a moment to count down to."""
    if stage["standing"] == "under way":
        told = {"at": near_words(stage["started_at"], now), "by": started_by}
        worked = hour_words(stage["worked_min"])
        chips = [_chip("today", "clock", _("since %(at)s, %(by)s") % told)]
        return (
            [*chips, _chip("opens", "half", _("paused after %(worked)s") % {"worked": worked})]
            if stage["paused"]
            else chips
        )
    if stage["standing"] not in ("ready", "held"):
        return []
    return [*(_of_wait(wait, now) for wait in held_by if _presses(wait)), *_usual(card["minutes"])]


def _chip(kind: str, drawing: str, words: str, until: datetime | None = None) -> Context:
    return {"kind": kind, "icon": drawing, "words": words, "until": until}


def _given(stage: Context) -> Context | None:
    """Return who may do a stage and who it is for; None where nobody else works here."""
    people = people_here()
    if len(people) < 2:
        return None
    name = next((str(one) for one in people if one.id == stage["given_to"]), "")
    return {"people": people, "to": stage["given_to"], "name": name, "key": uuid.uuid4().hex}


def _presses(wait: Context) -> bool:
    return not wait["may_begin"] or wait["closes_at"] is not None


def _of_wait(wait: Context, now: datetime) -> Context:
    """Return the chip of a wait that holds the stage: it opens, closes or has closed."""
    if not wait["may_begin"]:
        if wait["ready_at"] is None:
            return _chip("opens", "half", _("nobody can say when it opens"))
        told = {"at": near_words(wait["ready_at"], now)}
        return _chip("opens", "half", _("opens %(at)s") % told, wait["ready_at"])
    told = {"at": near_words(wait["closes_at"], now)}
    if wait["is_missed"]:
        return _chip("closing", "wedge", _("closed %(at)s") % told)
    return _chip("closing", "wedge", _("closes %(at)s") % told, wait["closes_at"])


def _usual(minutes: int | None) -> list[Context]:
    """Return how long such a stage usually takes, as a chip."""
    says = _("takes about %(time)s")
    return [_chip("today", "clock", says % {"time": hour_words(minutes)})] if minutes else []


def then_words(card: Context) -> str:
    """Return what waits after the stage: "then 4 h glue holding"."""
    waits = []
    for wait in card["then"]:
        title = wait["title"][:1].lower() + wait["title"][1:]
        length = span_words(timedelta(seconds=wait["seconds"]))
        waits.append(f"{length} {title}" if wait["seconds"] else title)
    return _("then %(waits)s") % {"waits": "; ".join(waits)} if waits else ""


def safe_lines(stage: Context, computed: Context, units: Units, *, is_whole: bool) -> list[tuple[str, str]]:
    """Return the cautions of a stage as drawings with two words each.

    Once the top is glued up, lifting says who carries it and its weight.
    """
    lines: dict[str, str] = {}
    for caution in stage["cautions"]:
        short = caution.get("short", [["stop", caution["title"]]])
        if caution["key"] == LIFTING and is_whole:
            short = _carried(computed, units) or short
        lines.update({words: drawing for drawing, words in short})
    return [(drawing, words) for words, drawing in lines.items()]


def _carried(computed: Context, units: Units) -> list[list[str]]:
    found = computed.get(LIFTING, {}).get("result") or {}
    if "people" not in found:
        return []
    drawing = "two" if found["people"] else "lift"
    weight = value_words("weight_kg", found["weight_kg"], units)
    return [[drawing, f"{capital(str(LIFTED_BY[found['people']]))}, {weight}"]]
