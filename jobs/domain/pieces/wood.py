"""The drawn wood of a piece: its top as it will look, from what is stored of it."""

from typing import Any, TypedDict

from django.db.models.fields.json import KeyTransform

from calcs.drawing.grain import SMALL, WHOLE, Top, draw
from calcs.drawing.woods import look_of
from jobs.core.canonical_json import part_of_column
from jobs.models import Piece

DRAWN = ("species", "length_len", "width_len")
WOOD_COLUMNS: dict[str, KeyTransform] = {f"wood_{name}": part_of_column("inputs", name) for name in DRAWN}
"""For ``annotate``: what `thumb_of` reads of pieces whose inputs are deferred."""
DRAWING = 1
"""Number of the way that wood is drawn; another number asks for new pictures."""


class Thumb(TypedDict):
    """What a picture of a piece's wood needs: name of its look, size [1/8 µm], version of its address."""

    look: str
    length_len: int
    width_len: int
    version: str


def thumb_of(piece: Piece) -> Thumb | None:
    """Return what a picture of a piece's wood needs; None where its size is not known.

    No query is made where the inputs are loaded, or `WOOD_COLUMNS` are in their place.
    """
    told = vars(piece)
    if "wood_species" in told:
        inputs: dict[str, Any] = {name: told[f"wood_{name}"] for name in DRAWN}
    else:
        inputs = piece.inputs
    length, width = inputs.get("length_len"), inputs.get("width_len")
    if not length or not width:
        return None
    version = f"{DRAWING}-{piece.revision}"
    return Thumb(look=look_of(inputs.get("species")), length_len=length, width_len=width, version=version)


def wood_drawing(piece: Piece, *, small: bool = False) -> str | None:
    """Return the top of a piece as SVG, strip by strip as laid out; None where its size is not known."""
    thumb, inputs = thumb_of(piece), piece.inputs
    if thumb is None:
        return None
    top = Top(
        look=thumb["look"],
        length_len=thumb["length_len"],
        width_len=thumb["width_len"],
        strips_len=strips_of(piece),
        ends_len=inputs.get("end_width_len") or 0,
        seed=piece.number,
    )
    return draw(top, SMALL if small else WHOLE)


def strips_of(piece: Piece) -> list[int]:
    """Return the widths of a piece's strips as they are laid out [1/8 µm]; none without a layout."""
    layout = piece.computed.get("layout", {}).get("result") or {}
    return [strip["width_len"] for strip in layout.get("strips", ())]
