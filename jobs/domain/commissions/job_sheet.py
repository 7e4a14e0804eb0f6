"""The job sheet of a piece, from its stored results: cutting, slots, glue, clamps, coats, lifting."""

from collections.abc import Mapping
from typing import Any

from jobs.core.units import Units
from jobs.domain.pieces.calculations import CALCULATIONS, without_prices
from jobs.domain.pieces.inputs import products_for
from jobs.domain.routes import cautions
from jobs.domain.stages.gates import GateContext, limit
from jobs.domain.stages.preconditions import shown_ground
from jobs.domain.waits.queries import stage_title
from jobs.domain.waits.route import RouteState
from jobs.log.private_texts import Texts
from jobs.models import Stage

Kept = Mapping[str, Any]
SECTIONS: dict[str, str] = {one.sheet: one.name for one in CALCULATIONS.values() if one.sheet}
"""Parts of the sheet, each with its calculation."""
SAID = ("warnings", "cautions")
NOT_FIGURED = "not figured for this piece"


def job_sheet(route: RouteState, texts: Texts) -> dict[str, Any]:
    """Return the sheet for the bench, without prices and without the owner's stages."""
    piece = route.piece
    computed, inputs = piece.computed, piece.inputs
    sections = {name: _section(computed.get(of), name) for name, of in SECTIONS.items()}
    sections["rip_list"] = _rip_list(sections["rip_list"], inputs, computed)
    stages = [stage for stage in route.stages if not stage.spec["owner_only"]]
    ground = shown_ground(route, piece.commission.opened_at, Units())
    return {
        "piece": piece.number,
        "label": texts[piece.label_ref],
        "quantity": piece.quantity,
        "revision": piece.revision,
        "species": inputs["species"],
        "length_len": inputs["length_len"],
        "width_len": inputs["width_len"],
        "thickness_len": inputs["thickness_len"],
        "edge_profile": inputs["edge_profile"],
        "joinery": inputs["joinery"],
        "products": [p.sheet.name for kind in ("glue", "finish") for p in products_for(kind, inputs)],
        **sections,
        "checklist": [_to_tick(stage, texts, ground) for stage in stages],
        "warnings": _told_once(computed, "warnings"),
        "cautions": _cautions(computed, stages),
    }


def _section(kept: Kept | None, name: str) -> dict[str, Any]:
    """Return figures, notes and sources of one calculation; ``why`` where it has no figures."""
    if kept is None:
        return {"figures": None, "why": NOT_FIGURED, "notes": [], "source": []}
    if "refused" in kept:
        return {"figures": None, "why": kept["refused"], "notes": [], "source": []}
    figures = {k: v for k, v in without_prices(kept["result"]).items() if k not in SAID}
    if not figures:
        return {"figures": None, "why": "; ".join(kept["notes"]), "notes": [], "source": kept["source"]}
    return {"figures": figures, "why": "", "notes": kept["notes"], "source": kept["source"]}


def _rip_list(section: dict[str, Any], inputs: Kept, computed: Kept) -> dict[str, Any]:
    """Return each strip with its cut length and the edges that get slots."""
    if section["figures"] is None:
        return section
    figures = section["figures"]
    edges = {
        edge["label"]: edge for edge in (computed.get("joinery", {}).get("result") or {}).get("edges", [])
    }
    cut = figures.get("blank_len", inputs["length_len"] + (inputs.get("trim_length_len") or 0))
    strips = [
        {**strip, "cut_len": cut, "edges": edges.get(strip["label"], {}).get("edges", "")}
        for strip in figures["strips"]
    ]
    return {**section, "figures": {**figures, "blank_len": cut, "strips": strips}}


def _to_tick(stage: Stage, texts: Texts, ground: GateContext) -> dict[str, Any]:
    """Return a stage to tick, with what is looked at or measured and the limits that hold for this piece."""
    gates = stage.spec["gates"]
    return {
        "stage": stage.key,
        "title": stage_title(stage, texts),
        "place": stage.spec["place"],
        "needs_hands": not stage.spec["passive"],
        "step": stage.step,
        "checks": [gate["title"] for gate in gates],
        "measures": [
            {
                "title": gate["title"],
                "unit": gate.get("unit", "yes"),
                **{word: limit(gate, word, ground) for word in ("least", "most")},
            }
            for gate in gates
        ],
        "notes": stage.spec["notes"],
    }


def _told_once(computed: Kept, what: str) -> list[str]:
    results = (kept.get("result", {}) for kept in computed.values())
    return list(dict.fromkeys(line for result in results for line in result.get(what, [])))


def _cautions(computed: Kept, stages: list[Stage]) -> list[dict[str, str]]:
    """Return the cautions of the stages with their sources, then those of the calculations."""
    known = cautions()
    keys = dict.fromkeys(key for stage in stages for key in stage.spec["cautions"])
    told = [
        {"title": known[key]["title"], "text": known[key]["text"], "source": known[key]["source"]}
        for key in keys
    ]
    return [*told, *({"title": "", "text": line, "source": ""} for line in _told_once(computed, "cautions"))]
