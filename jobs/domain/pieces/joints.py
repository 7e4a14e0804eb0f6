"""Slots, glue and clamps of a top's joints."""

from dataclasses import replace
from functools import partial
from typing import Any, TypedDict

from calcs.curing.curing import GlueUp, glue_times
from calcs.glue_up.clamping import clamping
from calcs.glue_up.clamping_inputs import Panel
from calcs.glue_up.gluing import gluing
from calcs.glue_up.gluing_inputs import GlueLines
from calcs.joints.joiners import usual_joiner
from calcs.joints.joinery import slots
from calcs.joints.recesses import Recess
from calcs.joints.slot_plan import SlotPlan, plan_for
from calcs.kit.units import inches
from calcs.lumber.ends import ENDS, panel_len
from calcs.tables import PRACTICE
from jobs.domain.pieces.context import CalculationContext, nothing_to_do, result_record, tried
from jobs.domain.stock.product_sheets import newest
from jobs.models import Sheet


class Wider(TypedDict, total=False):
    """The figures of a wider plan that differ [1/8 µm]."""

    give_len: int
    least_len: int


KINDS = {"biscuits": "biscuit", "dowels": "dowel", "loose tenons": "loose tenon"}
SIZES = {
    "biscuits": f"the usual one: {PRACTICE}",
    "dowels": "the thinnest from a third to half of the thickness: a page on dowels (read)",
    "loose tenons": f"at most a third of the thickness: {PRACTICE}",
}
"""The size that is taken of each kind, with its source."""
PLAIN = "plain glued"
ONE_BOARD = "one board: there is no joint"
REACH = {"square": 0, "eased": inches("1/8"), "rounded over": inches("1/2"), "bevelled": inches("1/2")}
"""Depth of an edge profile [1/8 µm]; a bullnose takes half the thickness. Common practice, no source."""
WIDER: tuple[Wider, ...] = ({"give_len": inches(2)}, {"give_len": inches(2), "least_len": inches(8)})
"""Wider plans, tried in order to keep clear of recesses; common practice, no source."""
FINISHED = "figured at the finished thickness"
AS_FINISHED = f"{FINISHED}; stock that is glued up thicker takes more in proportion"


def joinery(piece: CalculationContext) -> dict[str, Any]:
    if piece.layout.count < 2:
        return nothing_to_do(ONE_BOARD, joinery=piece.inputs["joinery"])
    if piece.inputs["joinery"] == PLAIN:
        return nothing_to_do("plain glued: no slots", joinery=PLAIN)
    asked = _slot_plan(piece)
    size = SIZES[piece.inputs["joinery"]]
    moved = () if asked == _usual_plan(piece) else ("spaced otherwise than usual, clear of the recesses",)
    measured = ("measured from the end of the tongue",) if piece.has_ends else ()
    made = result_record(asked, slots(asked), FINISHED, *moved, *measured)
    made["source"] = [*made["source"], f"size of joiner: {size}", f"reach of the profile: {PRACTICE}"]
    return made


def curing(piece: CalculationContext) -> dict[str, Any]:
    glue = piece.glue
    assert glue.glue is not None
    asked = GlueUp(glue=glue.glue, temp_c=piece.number("shop_c"))
    made = result_record(asked, glue_times(asked))
    made["inputs"]["sheet_version"] = glue.version
    return made


def glue_lines(piece: CalculationContext) -> dict[str, Any]:
    if piece.layout.count < 2:
        return nothing_to_do(ONE_BOARD, glue=piece.glue.key)
    assert piece.glue.glue is not None
    plain = piece.inputs["joinery"] == PLAIN
    cut = None if plain else tried(lambda: slots(_slot_plan(piece)))
    asked = GlueLines(
        strips_len=tuple(strip.width_len for strip in piece.layout.strips),
        length_len=piece.layout.blank_len,
        thickness_len=piece.inputs["thickness_len"],
        glue=piece.glue.glue,
        faces="both" if plain else "one",
        slots=cut.slots if cut else 0,
        temp_c=piece.number("shop_c"),
        rh_pct=piece.number("shop_rh_pct"),
        people=piece.shop["people_at_hand"],
        planer_len=piece.shop["planer_width_len"],
        jointer_len=piece.shop["jointer_width_len"],
    )
    unplanned = () if plain or cut else ("glue in slots not counted: they could not be planned",)
    glues = [sheet.glue for sheet in newest(Sheet.Kind.GLUE).values() if sheet.glue]
    made = result_record(asked, gluing(asked, glues), AS_FINISHED, *unplanned)
    made["inputs"]["sheet_version"] = piece.glue.version
    return made


def clamps(piece: CalculationContext) -> dict[str, Any]:
    if piece.layout.count < 2:
        return nothing_to_do(ONE_BOARD, glue=piece.glue.key)
    assert piece.glue.glue is not None
    made = piece.layout.strips
    asked = Panel(
        width_len=piece.layout.sum_len,
        length_len=piece.layout.blank_len,
        thickness_len=piece.inputs["thickness_len"],
        outer_len=min(made[0].width_len, made[-1].width_len),
        glue=piece.glue.glue,
        species=piece.wood,
        clamps=piece.clamps,
    )
    counted = ("clamps on other work counted as they are now",)
    return result_record(asked, clamping(asked), *(counted if piece.clamps else ()))


def _slot_plan(piece: CalculationContext) -> SlotPlan:
    """Return the usual plan, or the first wider one that keeps clear of the recesses."""
    usual = _usual_plan(piece)
    wider = [replace(usual, **more) for more in WIDER] if usual.recesses else []
    return next((plan for plan in (usual, *wider) if tried(partial(slots, plan))), usual)


def _usual_plan(piece: CalculationContext) -> SlotPlan:
    thickness = piece.inputs["thickness_len"]
    plan = plan_for(
        piece.layout,
        piece.layout_asked,
        thickness_len=thickness,
        joiner=usual_joiner(KINDS[piece.inputs["joinery"]], thickness).name,
    )
    return replace(
        plan,
        profile_len=REACH.get(piece.inputs["edge_profile"], thickness // 2),
        recesses=_recesses(piece),
    )


def _recesses(piece: CalculationContext) -> tuple[Recess, ...]:
    """Return the recesses as seen from the end of the panel: breadboard ends reach past it."""
    if piece.stiffened is None:
        return ()
    past = (piece.layout_asked.length_len - panel_len(piece.layout_asked)) // ENDS
    return tuple(
        replace(recess, from_end_len=recess.from_end_len - past) for recess in piece.stiffened.recesses
    )
