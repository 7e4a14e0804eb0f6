"""The drawings of a piece, from its stored results: which sheets it has, and each of them to scale."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any

from calcs.drawing import sheets
from calcs.drawing.lines import Paper
from calcs.drawing.top import (
    Bolt,
    Channels,
    Edge,
    Ends,
    GlueUp,
    Peg,
    Session,
    Slots,
    Top,
    top_of,
)
from calcs.kit.errors import CalcError
from calcs.kit.units import inches
from calcs.lumber.ends import EndPiece, panel_len
from calcs.lumber.layout import Layout, Strip, StripLayout
from calcs.wood.movement import change
from jobs.domain.pieces.joints import REACH

Kept = Mapping[str, Any]
TOLERANCE = {"in": inches("1/32"), "mm": 4000}
"""Of the overall sizes [1/8 µm]; common practice, no source."""
BENCH_WIDE = 190
"""Room for a drawing on a job sheet, letter or A4 [mm]."""


def views_of(computed: Kept, inputs: Kept) -> list[str]:
    """Return the names of the sheets of a piece: of "client", "glue-up", "underside", "breadboard"."""
    top = top_drawn(computed, inputs)
    return sheets.views_of(top) if top else []


def draw_sheet(computed: Kept, inputs: Kept, view: str, *, paper: Paper, title: str = "") -> str | None:
    """Return one sheet of a piece as SVG; None where it does not apply."""
    top = top_drawn(computed, inputs, unit=paper.unit)
    return sheets.sheet(top, view, paper, title=title) if top else None


def bench_drawings(computed: Kept, inputs: Kept, *, unit: str, title: str) -> list[str]:
    """Return drawings at the width of a job sheet: glue-up plan, else client drawing; underside, end."""
    top, paper = top_drawn(computed, inputs, unit=unit), Paper(width=BENCH_WIDE, unit=unit)
    if top is None:
        return []
    of_it = sheets.views_of(top)
    wanted = (usual_view(of_it), "underside", "breadboard")
    drawn = (sheets.sheet(top, view, paper, title=title) for view in wanted if view in of_it)
    return [svg for svg in drawn if svg]


def usual_view(views: Collection[str]) -> str:
    """Return the view that the bench works by; empty where a piece has none."""
    return next((view for view in ("glue-up", "client") if view in views), "")


def thumbnail(computed: Kept, inputs: Kept, *, width_mm: float, unit: str, title: str) -> str | None:
    """Return the face of a piece with its length and width, for a quote; None where its size is not known."""
    top = top_drawn(computed, inputs)
    return sheets.thumbnail(top, Paper(width=width_mm, unit=unit), title=title) if top else None


def ornament(computed: Kept, inputs: Kept, *, width_mm: float, title: str) -> str | None:
    """Return the face of a piece without any size, for a card; None where its size is not known."""
    top = top_drawn(computed, inputs)
    return sheets.ornament(top, width_mm, title=title) if top else None


def top_drawn(computed: Kept, inputs: Kept, *, unit: str = "in") -> Top | None:
    """Return what is drawn of a piece; None where its size is not known or its results do not fit
    together.
    """
    if not inputs.get("length_len") or not inputs.get("width_len"):
        return None
    try:
        return _top(computed, inputs, TOLERANCE[unit])
    except CalcError:  # stored results of different versions may not fit together
        return None


def _top(computed: Kept, inputs: Kept, tolerance: int) -> Top:
    thickness = inputs.get("thickness_len")
    plain = Top(
        length=inputs["length_len"], width=inputs["width_len"], thickness=thickness, tolerance=tolerance,
        edge=_edge(inputs.get("edge_profile", "square"), thickness or 0),
        yearly=_yearly(_figures(computed, "movement"), inputs["width_len"]),
        channels=_channels(computed.get("stiffening", {})),
    )  # fmt: skip
    figures = _figures(computed, "layout")
    if not figures:
        return plain
    asked, layout = _asked(computed["layout"]["inputs"]), _layout(figures, inputs)
    strips = top_of(layout, asked)
    ends = _ends(_figures(computed, "breadboard")) if asked.end_wide_len else None
    return replace(
        plain, width=strips.width, strips=strips.strips, ends=ends, ends_wide=strips.ends_wide,
        tongue_deep=strips.tongue_deep, glue=_glue(computed, layout, asked),
    )  # fmt: skip


def _figures(computed: Kept, name: str) -> Kept:
    return computed.get(name, {}).get("result") or {}


def _yearly(figures: Kept, width: int) -> int:
    """Return how much a width moves from the dry to the humid season [1/8 µm]; 0 where it is not known."""
    if not figures.get("coefficient"):
        return 0
    coefficient, dry, humid = (Decimal(figures[name]) for name in ("coefficient", "mc_from", "mc_to"))
    return change(size_len=width, coefficient=coefficient, mc_from=dry, mc_to=humid)


def _edge(words: str, thickness: int) -> Edge:
    """Return the edge of a profile, as deep as joints keep clear of it, and no more than half the
    thickness.
    """
    reach = min(REACH.get(words, thickness // 2), thickness // 2)
    if words == "bevelled":
        return Edge(words=words, radius=min(REACH["eased"], thickness // 2), bevel=reach)
    return Edge(words=words, radius=reach, below=reach)


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


def _glue(computed: Kept, layout: Layout, asked: StripLayout) -> GlueUp | None:
    if layout.count < 2:
        return None
    trim = (layout.blank_len - panel_len(asked)) // 2
    clamps = _figures(computed, "clamping")
    places = [(each["at_len"] - trim, each["side"]) for each in clamps.get("places", ())]
    return GlueUp(
        trim=trim,
        slots=_slots(_figures(computed, "joinery"), layout),
        sessions=_sessions(_figures(computed, "gluing"), [strip.label for strip in layout.strips]),
        above=tuple(at for at, side in places if side == "above"),
        below=tuple(at for at, side in places if side != "above"),
        cauls=tuple(at - trim for at in clamps.get("cauls_at_len", ())),
    )


def _slots(figures: Kept, layout: Layout) -> Slots | None:
    """Return the slots of the joints; none where they were planned for another number of joints."""
    if not figures or figures["joints"] != layout.count - 1:
        return None
    return Slots(
        at=tuple(figures["positions_len"]),
        along=figures.get("slot_len", figures["along_len"]),  # an older result took the joiner's own length
        into=figures["depth_len"],
        thick=figures["thick_len"],
        rows=tuple(figures["rows_len"]),
    )


def _sessions(figures: Kept, letters: list[str]) -> tuple[Session, ...]:
    """Return the clampings in order; none where the panel is glued in one go."""
    stages = figures.get("stages", ())
    if len(stages) < 2:
        return ()
    place = {label: n for n, label in enumerate(letters)}
    parts = [[part.split("-") for part in stage["joins"]] for stage in stages]
    if not {label for stage in parts for part in stage for label in part} <= place.keys():
        return ()
    return tuple(
        Session(
            number=stage["number"],
            parts=tuple((place[part[0]], place[part[-1]] + 1) for part in joins),
            round=stage["round"],
        )
        for stage, joins in zip(stages, parts, strict=True)
    )


def _channels(kept: Kept) -> Channels | None:
    figures, asked = kept.get("result") or {}, kept.get("inputs") or {}
    if not figures.get("places_len"):
        return None
    return Channels(
        at=tuple(figures["places_len"]),
        long=figures["channel_len"],
        wide=asked["channel_wide_len"],
        deep=asked["channel_deep_len"],
        wall=asked["channel_wall_len"],
        recess_long=figures["recess_length_len"],
        recess_wide=figures["recess_wide_len"],
        recess_deep=figures["recess_deep_len"],
        recess_middle=figures["recess_middle_len"],
        bolts=tuple(Bolt(at=bolt["at_len"], slot=bolt["slot"]["slot_len"]) for bolt in figures["bolts"]),
        bolt=asked["bolt_len"],
        insert=asked["insert_len"],
    )


def _ends(figures: Kept) -> Ends | None:
    """Return the ends of a top; None for results of before their tongue's thickness was figured."""
    if not figures.get("tongue_thick_len"):
        return None
    reveal = figures["reveal"]
    return Ends(
        long=figures["end_len"],
        wide=figures["end_wide_len"],
        tongue=figures["tongue_len"],
        tongue_thick=figures["tongue_thick_len"],
        tongue_deep=figures["tongue_deep_len"],
        mortise=figures["mortise_len"],
        mortise_deep=figures["mortise_deep_len"],
        pegs=tuple(
            Peg(at=p["at_len"], slot=p["slot"]["slot_len"], inner=p["slot"]["inner_len"], round=p["round"])
            for p in figures["pegs"]
        ),
        peg=figures["peg_len"],
        pegs_in=figures["peg_in_len"],
        glued=(figures["glued_from_len"], figures["glued_to_len"]),
        made=reveal["when_made_len"],
        dry=reveal["dry_len"],
        humid=reveal["humid_len"],
    )
