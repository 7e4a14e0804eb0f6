"""What a sheet says in words: a few short lines that no view can show."""

from __future__ import annotations

from calcs.drawing.lines import Paper, size
from calcs.drawing.top import Channels, Ends, GlueUp, Top


def notes_of(top: Top, name: str, paper: Paper) -> tuple[str, ...]:
    """Return the notes of a sheet, its sizes in the unit of the drawing."""
    unit = paper.unit
    if name == "client":
        holds = f"Sizes hold to ±{size(top.tolerance, unit, 'joint')}." if paper.compact else ""
        return tuple(filter(None, (*_of_client(top, unit), holds)))
    if name == "glue-up" and top.glue:
        return _of_glue_up(top, top.glue, unit)
    if name == "underside" and top.channels:
        return _of_underside(top.channels, unit)
    return _of_ends(top.ends, unit) if name == "breadboard" and top.ends else ()


def _of_client(top: Top, unit: str) -> tuple[str, ...]:
    moves = f"Over a year the width moves {size(top.yearly, unit)}." if top.yearly else ""
    ends = "The ends do not move with it." if moves and top.ends_wide else ""
    words = top.edge.words.replace("bevelled", "beveled").capitalize()
    edge = f"{words} edge, all round." if top.thickness else ""
    return tuple(filter(None, (edge, moves, ends)))


def _of_glue_up(top: Top, glue: GlueUp, unit: str) -> tuple[str, ...]:
    off = -top.seams[0]
    edges = f"{size(off, unit, 'joint')} comes off both outer edges." if off > 0 else ""
    known = any(strip.rings for strip in top.strips)
    rings = "" if known else "Rings as they fall: draw them on the end."
    if not glue.trim:
        return tuple(filter(None, (edges, rings)))
    line = f"Pencil the line square over all strips, {size(glue.trim, unit, 'joint')} from their left ends."
    return tuple(filter(None, (line, edges, rings)))


def _of_underside(made: Channels, unit: str) -> tuple[str, ...]:
    deep, middle = (size(each, unit, "joint") for each in (made.recess_deep, made.recess_middle))
    return (
        f"Recess {deep} deep, {middle} in its middle.",
        "Middle bolt tight, the others snug, free to slide. Inserts bonded.",
    )


def _of_ends(made: Ends, unit: str) -> tuple[str, ...]:
    glued = size(made.glued[1] - made.glued[0], unit, "joint")
    return (
        f"Both ends alike. Glue only the {glued} marked.",
        "Round holes in the end, slots in the tongue.",
        f"Each end {size(made.long, unit, 'joint')} long.",
    )
