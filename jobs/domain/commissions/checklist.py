"""Content of a delivery checklist, read once and frozen."""

from typing import Any

from jobs.domain.routes import cautions
from jobs.domain.waits.full_cure import full_use
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Commission, Piece, Stage

BOXES: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "Before loading",
        (
            "Flatness and moisture measured and written below",
            "Pictures of both faces and every edge",
            "Fixings, hardware and care notes packed",
            "People and cart as above are here",
            "Breathable cover; full-use date told to the client",
        ),
    ),
    (
        "On the road",
        ("Loaded on edge, never flat by the ends", "Padded and strapped, nothing under the span"),
    ),
    (
        "On site",
        (
            "Way in, stairs and floor as surveyed",
            "24 h before unwrapping after a cold van",
            "Heating running, humidity measured (35 to 55 %)",
            "Outside that: a note signed by the client",
            "Base level and sound",
            "Fixings slotted and snug, movement free",
            "Flatness looked at again, pictures taken",
        ),
    ),
)
"""Common practice, no source."""


def checklist_content(commission: Commission) -> dict[str, Any]:
    """Return the pieces with weight, people and last measurements, the boxes and the cautions."""
    pieces = list(commission.pieces.order_by("number"))
    texts = Texts(refs_of(pieces))
    lifting = cautions()["lifting"]
    return {
        "pieces": [_piece(p, texts) for p in pieces],
        "boxes": [{"title": title, "items": list(items)} for title, items in BOXES],
        "caution": {"first": cautions()["first"], **{k: lifting[k] for k in ("title", "text", "source")}},
    }


def _piece(piece: Piece, texts: Texts) -> dict[str, Any]:
    inputs, computed = piece.inputs, piece.computed
    checked = piece.stages.filter(key="final-check").first()
    return {
        "number": piece.number,
        "label": texts[piece.label_ref],
        "quantity": piece.quantity,
        "species": inputs["species"],
        "finish": inputs["finish_face"],
        **{f"{n}_len": inputs[f"{n}_len"] for n in ("length", "width", "thickness")},
        "weight": _figures(computed.get("weight", {})),
        "lifting": _figures(computed.get("lifting", {})),
        "access": _figures(computed.get("access", {})),
        "tipping": _figures(computed.get("tipping", {})),
        "measured": _measured(checked) if checked else [],
        "full_use": full_use(piece),
    }


def _figures(kept: dict[str, Any]) -> dict[str, Any] | None:
    """Return a result with its notes and sources; None where the calculation gave none."""
    if "result" not in kept:
        return None
    return {**kept["result"], "notes": kept["notes"], "source": kept["source"]}


def _measured(stage: Stage) -> list[dict[str, Any]]:
    asked = [g for g in stage.spec["gates"] if g["key"] in stage.measured]
    return [{"key": g["key"], "title": g["title"], **stage.measured[g["key"]]} for g in asked]
