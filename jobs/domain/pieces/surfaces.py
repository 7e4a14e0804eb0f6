"""Work on the faces of a top: stiffeners, sanding, finish, turning over."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, fields
from decimal import Decimal
from typing import Any

from calcs.curing.curing import CoatOn, coat_times
from calcs.curing.hardening_inputs import SheetPoint
from calcs.finish.coat_calendar import CoatAt
from calcs.finish.finish_job import finishing
from calcs.finish.finish_job_inputs import FinishJob
from calcs.finish.finish_plan import FinishPlan
from calcs.finish.finishing import coats
from calcs.finish.sanding import SandTop, sanding
from calcs.handling.flips import FACES, FaceWork, TurnOver, flips
from calcs.kit.errors import OutOfRange
from calcs.wood.weight import weight
from jobs.domain.pieces.context import CalculationContext, result_record, tried
from jobs.domain.pieces.inputs import choices_for
from jobs.domain.pieces.lumber import weighed
from jobs.domain.routes import expand, route
from jobs.domain.stock.product_sheets import Product


@dataclass(frozen=True, kw_only=True)
class CoatPlan:
    """What the record of the finish takes from the plan of the job: the calendar and what the air allows."""

    turns: int | None
    calendar: tuple[CoatAt, ...]
    may_coat: bool
    dew_point_c: Decimal
    least_surface_c: Decimal
    cautions: tuple[str, ...]


OIL_GRIT = "P180"
"""The last grit before oil: a finer one closes the wood. Common practice, no source."""
BOTH, SHOW, UNDER = FACES, FACES[:1], FACES[1:]
FACE_WORK: dict[str, tuple[str, tuple[str, ...]]] = {
    "rough-flatten": ("flatten roughly", BOTH),
    "final-flatten": ("flatten", BOTH),
    "stiffeners": ("let in the stiffeners", UNDER),
    "fit-stiffeners": ("fit the stiffeners", UNDER),
    "sand": ("sand", BOTH),
    "raise-grain": ("raise the grain", BOTH),
    "resand": ("sand again", BOTH),
    "seal": ("sealing coat", BOTH),
    "build": ("build coat", SHOW),
    "refit": ("refit the stiffeners", UNDER),
}
"""Stage -> its work on the faces, and which faces. Common practice, no source."""
NAMES = {"show": "show face", "under": "underside"}


def stiffeners(piece: CalculationContext) -> dict[str, Any] | None:
    if not piece.inputs["stiffeners"]:
        if route(piece.inputs["route"]).figures("stiffening", always=True):
            says = "this route lets in stiffeners and the piece has none: say yes, or take another route"
            raise OutOfRange(says, field="stiffeners", value="no", allowed="yes")
        return None
    return result_record(piece.channels_asked, piece.stiffening)


def grits(piece: CalculationContext) -> dict[str, Any]:
    oiled = route(piece.inputs["route"]).film is False
    asked = SandTop(
        length_len=piece.inputs["length_len"],
        width_len=piece.inputs["width_len"],
        last_grit=OIL_GRIT if oiled else SandTop.last_grit,
    )
    each = ("for one of them",) if piece.inputs["quantity"] > 1 else ()
    return result_record(asked, sanding(asked), *each)


def finish(piece: CalculationContext) -> dict[str, Any]:
    """Return the amount and times of the finish, with the calendar of coats in the shop's usual air."""
    face, *under = piece.finishes
    assert face.finish is not None
    asked = FinishPlan(
        **piece.sizes,
        quantity=piece.inputs["quantity"],
        finish=face.finish,
        sealing_coats=piece.inputs["sealing_coats"],
        build_coats=piece.inputs["build_coats"],
    )
    made = result_record(asked, coats(asked))
    air = CoatOn(
        finish=face.finish,
        temp_c=piece.number("shop_c"),
        rh_pct=piece.number("shop_rh_pct"),
        allow=True,
    )
    times = result_record(air, coat_times(air))
    planned = _planned(piece, face)
    warnings = [*made["result"]["warnings"], *times["result"]["warnings"], *planned.pop("warnings", [])]
    made["inputs"] |= {"sheet_version": face.version, "temp_c": air.temp_c, "rh_pct": air.rh_pct}
    made["result"] |= {**times["result"], **planned["result"], "warnings": list(dict.fromkeys(warnings))}
    made["source"] = list(dict.fromkeys([*made["source"], *times["source"], *planned["source"]]))
    made["notes"] = list(dict.fromkeys([*made["notes"], *planned["notes"]]))
    if under:
        made["notes"].append(f"underside: {under[0].sheet.name}; figured here with the face's finish")
    return made


def _planned(piece: CalculationContext, face: Product) -> dict[str, Any]:
    """Return the calendar of coats and whether the shop's air allows them; a note where refused."""
    assert face.finish is not None
    asked = FinishJob(
        **piece.sizes,
        quantity=piece.inputs["quantity"],
        finish=face.finish,
        sealing_coats=piece.inputs["sealing_coats"],
        build_coats=piece.inputs["build_coats"],
        temp_c=piece.number("shop_c"),
        rh_pct=piece.number("shop_rh_pct"),
        species=piece.wood,
        points=tuple(SheetPoint(step=p.step, temp_c=p.temp_c, time_s=p.time_s) for p in face.points),
    )
    found = tried(lambda: finishing(asked))
    if found is None:
        return {"result": {}, "notes": ["no calendar of coats in this air"], "source": []}
    made = result_record(asked, found)
    told = {f.name: made["result"][f.name] for f in fields(CoatPlan)}
    return {**made, "warnings": made["result"]["warnings"], "result": told}


def turns(piece: CalculationContext) -> dict[str, Any] | None:
    """Return the fewest turns that the route allows; None where no stage works on a face."""
    works = face_works(piece.inputs)
    if not works:
        return None
    heavy = tried(lambda: weight(weighed(piece)))
    asked = TurnOver(works=works, weight_kg=heavy.each_kg if heavy else None)
    made = result_record(
        asked, flips(asked), "as the template of the route has it; a stage waits for all before it"
    )
    made["inputs"] = {"works": [work.what for work in works], "weight_kg": asked.weight_kg}
    return made


def face_works(inputs: Any) -> tuple[FaceWork, ...]:
    """Return the work on each face in route order; each waits for both faces of earlier stages."""
    stages = expand(route(inputs["route"]), choices_for(inputs, ()))
    works: list[FaceWork] = []
    before: dict[str, tuple[str, ...]] = {}
    for stage in stages:
        earlier = tuple(dict.fromkeys(n for key in stage["after"] for n in before[key]))
        named = _named(stage["key"])
        if named is None:
            before[stage["key"]] = earlier
            continue
        what, faces = named
        made = [FaceWork(what=f"{what}, {NAMES[face]}", up=face, after=earlier) for face in faces]
        works += made
        before[stage["key"]] = tuple(work.what for work in made)
    return tuple(works)


def _named(key: str) -> tuple[str, Sequence[str]] | None:
    """Return a stage's work and faces, with the number of a coat; None for a stage off the faces."""
    stem, number = re.fullmatch(r"(.*?)(?:-(\d+))?", key).groups()  # type: ignore[union-attr]
    if stem not in FACE_WORK:
        return None
    what, faces = FACE_WORK[stem]
    return (f"{what} {number}" if number else what), faces
