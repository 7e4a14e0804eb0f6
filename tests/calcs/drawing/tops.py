"""Tops as the calculations make them, to be drawn."""

from dataclasses import asdict
from typing import Any

from hypothesis import strategies as st

from calcs.glue_up.clamping import positions
from calcs.glue_up.staging import fewest
from calcs.joints.joinery import slots
from calcs.joints.slot_plan import plan_for
from calcs.kit.errors import CalcError
from calcs.kit.units import inches
from calcs.lumber.layout import RING_DIRECTIONS, StripLayout, strip_label, strips
from calcs.structure.breadboard import breadboard
from calcs.structure.breadboard_inputs import BreadboardEnd
from calcs.structure.stiffening import stiffening
from calcs.structure.stiffening_inputs import Stiffeners

Kept = dict[str, Any]
JOINERS = ("biscuit 20", "dowel 3/8", "loose tenon 3/8")


def kept(
    *, length: int, width: int, count: int, thickness: int = inches("7/4"), rings: str = "alternating",
    joiner: str = JOINERS[0], at_once: int = 3, ends: bool = False, channels: bool = False,
    edge: str = "eased", trim: int = inches(2),
) -> tuple[Kept, Kept]:  # fmt: skip
    """Return stored results and inputs of a top; what a calculation refuses is left out."""
    each = -(-width // count // 3175) * 3175 + 3175
    asked = StripLayout(
        width_len=width, length_len=length, actual_widths_len=(each,) * count, ring_direction=rings,
        trim_len=trim, end_wide_len=inches(4) if ends else 0, tongue_deep_len=inches(2) if ends else 0,
    )  # fmt: skip
    layout = strips(asked)
    computed: Kept = {"layout": _record(asked, layout)}
    places = positions(layout.blank_len, end_len=inches(2), most_len=inches(12))
    computed["clamping"] = {
        "result": {
            "places": [{"at_len": at, "side": ("below", "above")[n % 2]} for n, at in enumerate(places)],
            "cauls_at_len": list(positions(layout.blank_len, end_len=inches(8), most_len=inches(30))),
        }
    }
    stages = fewest((each,) * count, at_once=at_once, widest_len=None) or ()
    parts = [
        ["-".join(dict.fromkeys((strip_label(a), strip_label(b - 1)))) for a, b in s.parts] for s in stages
    ]
    computed["gluing"] = {
        "result": {
            "stages": [
                {"number": n, "round": stage.round, "joins": joins}
                for n, (stage, joins) in enumerate(zip(stages, parts, strict=True), start=1)
            ]
        }
    }
    wood = {"species": "walnut", "width_len": width, "thickness_len": thickness}
    _add(computed, "joinery", lambda: plan_for(layout, asked, thickness_len=thickness, joiner=joiner), slots)
    if channels:
        _add(computed, "stiffening", lambda: Stiffeners(**wood, length_len=length), stiffening)
    if ends:
        _add(computed, "breadboard", lambda: BreadboardEnd(**wood), breadboard)
    inputs = {"length_len": length, "width_len": width, "thickness_len": thickness, "edge_profile": edge}
    return computed, inputs


def _add(computed: Kept, name: str, ask: Any, find: Any) -> None:
    """Add the record of a calculation; nothing where it refuses."""
    try:
        asked = ask()
        computed[name] = _record(asked, find(asked))
    except CalcError:
        return


def _record(asked: Any, found: Any) -> Kept:
    return {"inputs": asdict(asked), "result": asdict(found)}


SIXTEENTH = inches("1/16")


@st.composite
def tops(draw: Any, *, ends: bool | None = None, channels: bool | None = None) -> Kept:
    """Return what `kept` takes for any top from 36 x 20 to 168 x 54 in, of 3 to 18 strips."""
    given = {
        name: draw(st.booleans()) if told is None else told
        for name, told in (("ends", ends), ("channels", channels))
    }
    return dict(
        length=draw(st.integers(36 * 16, 168 * 16)) * SIXTEENTH,
        width=draw(st.integers(20 * 16, 54 * 16)) * SIXTEENTH,
        count=draw(st.integers(3, 18)),
        thickness=draw(st.integers(12, 48)) * SIXTEENTH,
        rings=draw(st.sampled_from(RING_DIRECTIONS)),
        joiner=draw(st.sampled_from(JOINERS)),
        at_once=draw(st.integers(1, 6)),
        edge=draw(st.sampled_from(("square", "eased", "rounded over", "bevelled", "bullnose"))),
        trim=draw(st.sampled_from((0, inches(2), inches(6)))),
        **given,
    )
