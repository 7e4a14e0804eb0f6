"""Content of a delivery checklist, read once and frozen."""

from collections.abc import Mapping
from typing import Any

from django.utils import timezone

from jobs.domain.pieces.care import LEAST_RH_PCT, MOST_RH_PCT
from jobs.domain.routes import cautions
from jobs.domain.stages.gates import own_limit, sizes_of
from jobs.domain.waits.full_cure import full_use
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Appointment, Commission, Piece, Stage

BOXES: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "Before loading",
        (
            "flatness and moisture measured, written below",
            "pictures of both faces and every edge",
            "fixings, hardware and care card packed",
            "cover that lets air through",
        ),
    ),
    ("On the road", ("on edge, never flat by the ends", "padded and strapped, nothing under the span")),
    (
        "In the house",
        (
            "way in, stairs and floor as surveyed; path covered",
            "cold van: 24 h before it is unwrapped",
            "air outside its range: noted below, signed",
        ),
    ),
    (
        "Set up",
        (
            "base level and firm",
            "fixings slotted, snug, free to move",
            "looked over together in daylight",
            "care told: first days, heat, wet, seasons",
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
        "when": _when(commission),
        "liked_pct": [LEAST_RH_PCT, MOST_RH_PCT],
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
        "limits": _limits(checked, inputs) if checked else {},
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


def _limits(stage: Stage, inputs: Mapping[str, Any]) -> dict[str, Any]:
    """Return what each measurement of the final check may be, least and most [1/8 µm or %]."""
    sizes = sizes_of(inputs)
    return {
        gate["key"]: {
            "unit": gate["unit"],
            **{word: own_limit(gate, word, sizes) for word in ("least", "most")},
        }
        for gate in stage.spec["gates"]
        if gate.get("unit") in ("length", "percent")
    }


def _when(commission: Commission) -> dict[str, Any] | None:
    """Return the day of the delivery that is planned, and its hour where one is set."""
    planned = Appointment.objects.filter(
        commission=commission, kind=Appointment.Kind.DELIVERY, step=Appointment.Step.PLANNED
    ).first()
    if planned is None:
        return None
    at = timezone.localtime(planned.starts_at).strftime("%H:%M") if planned.starts_at else ""
    return {"day": planned.day, "at": at}
