"""The drawing of a piece, from its stored results."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from calcs.drawing import Marked, draw
from calcs.glue_up.clamping import ClampAt
from calcs.joints.joinery import Edged, Joinery
from calcs.joints.recesses import Recess
from calcs.kit.errors import CalcError
from calcs.lumber.ends import EndPiece
from calcs.lumber.layout import Layout, Strip, StripLayout

Kept = Mapping[str, Any]


def drawing_of(computed: Kept, inputs: Kept, *, title: str = "") -> str | None:
    """Return strips, slots, clamps and recesses as SVG; None where there is no layout."""
    marked = marked_of(computed, inputs)
    return None if marked is None else draw(marked, title=title)


def shape_of(computed: Kept, inputs: Kept, *, title: str = "") -> str | None:
    """Return the strips alone as SVG, as a client is shown them; None where there is no layout."""
    marked = marked_of(computed, inputs)
    if marked is None:
        return None
    bare = replace(marked, joints=None, stiffeners=[], clamps=[], cauls_at_len=[])
    return draw(bare, title=title, with_key=False)


def marked_of(computed: Kept, inputs: Kept) -> Marked | None:
    """Return what is drawn of a piece; None where there is no layout or its results do not fit together."""
    figures = _figures(computed, "layout")
    if not figures:
        return None
    clamps, stiff = _figures(computed, "clamping"), _figures(computed, "stiffening")
    try:
        return Marked(
            layout=_layout(figures, inputs),
            asked=_asked(computed["layout"]["inputs"]),
            joints=_joints(_figures(computed, "joinery")),
            stiffeners=[Recess(**recess) for recess in stiff.get("recesses", [])],
            clamps=[ClampAt(**each) for each in clamps.get("places", [])],
            cauls_at_len=clamps.get("cauls_at_len", []),
            thickness_len=inputs.get("thickness_len"),
        )
    except CalcError:  # stored results of different versions may not fit together
        return None


def _figures(computed: Kept, name: str) -> Kept:
    return computed.get(name, {}).get("result") or {}


def _layout(figures: Kept, inputs: Kept) -> Layout:
    """Return the stored layout; figures that old versions lack follow from the others."""
    told = {
        "blank_len": inputs["length_len"] + (inputs.get("trim_length_len") or 0),
        "reach_len": figures["sum_len"],
        "short_len": 0,
        "warnings": (),
        **figures,
        "strips": tuple(Strip(**strip) for strip in figures["strips"]),
        "ends": tuple(EndPiece(**end) for end in figures.get("ends", ())),
        "notes": (),
        "source": (),
    }
    return Layout(**{name: told[name] for name in Layout.__dataclass_fields__})


def _asked(inputs: Kept) -> StripLayout:
    known = {name: inputs[name] for name in StripLayout.__dataclass_fields__ if inputs.get(name) is not None}
    listed: dict[str, Any] = {n: tuple(v) for n, v in known.items() if isinstance(v, list)}
    return StripLayout(**{**known, **listed})


def _joints(figures: Kept) -> Joinery | None:
    if not figures:
        return None
    kept: dict[str, Any] = {name: tuple(v) if isinstance(v, list) else v for name, v in figures.items()}
    kept.setdefault("slot_len", kept["along_len"])  # an older result took the joiner's own length
    kept["edges"] = tuple(Edged(**edge) for edge in figures["edges"])
    return Joinery(**kept, notes=(), source=())
