"""Content of job sheets, care cards and labels, read once and frozen."""

from decimal import Decimal
from typing import Any

from django.conf import settings as site

from calcs.wood.movement import change
from jobs.domain.commissions.job_sheet import job_sheet
from jobs.domain.pieces.care import LEAST_RH_PCT, MOST_RH_PCT, OIL_AGAIN, care_of
from jobs.domain.pieces.drawing import bench_drawings, ornament, views_of
from jobs.domain.routes import cautions
from jobs.domain.settings import settings, shop_unit
from jobs.domain.waits.full_cure import full_use
from jobs.domain.waits.queries import read_routes
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Commission, Piece

MADE_AT_PCT = Decimal(7)
"""Moisture of the wood when it is worked [%]; common practice, no source: 6 to 8 %."""


def next_address(piece: str) -> str:
    """Return the address behind the code on a piece; it leads to the next stage of that time."""
    return f"{site.PUBLIC_URL}/pieces/{piece}/next/"


def job_sheet_content(commission: Commission) -> dict[str, Any]:
    """Return a sheet for each piece, with its drawing and the address of its next stage."""
    read = read_routes(commission.pieces.order_by("number"))
    return {
        "sheets": [_sheet(route, read.texts) for route in read.routes],
        "first": cautions()["first"],
        "with_sources": settings()["job_sheet_sources"] == "yes",
    }


def _sheet(route: Any, texts: Texts) -> dict[str, Any]:
    piece = route.piece
    drawings = bench_drawings(piece.computed, piece.inputs, unit=shop_unit(), title=piece.number)
    return {
        **job_sheet(route, texts),
        "drawing": next(iter(drawings), ""),
        "more_drawings": drawings[1:],
        "views": views_of(piece.computed, piece.inputs),
        "next": next_address(piece.number),
    }


def care_content(commission: Commission) -> dict[str, Any]:
    """Return the care of each piece, and the seasonal movement of its wood."""
    pieces = list(commission.pieces.order_by("number"))
    texts = Texts(refs_of(pieces))
    return {
        "liked_pct": [LEAST_RH_PCT, MOST_RH_PCT],
        "first": cautions()["first"],
        "pieces": [_care(piece, texts) for piece in pieces],
    }


def _care(piece: Piece, texts: Texts) -> dict[str, Any]:
    care, label = care_of(piece), texts[piece.label_ref]
    computed = piece.computed
    return {
        "number": piece.number,
        "label": label,
        "quantity": piece.quantity,
        "species": piece.inputs["species"],
        "finish": care.finish,
        "cleaning": care.cleaning,
        "renewing": care.renewing,
        "is_oiled": care.renewing == str(OIL_AGAIN),
        "full_use": full_use(piece),
        "movement": _seasons(piece),
        "has_channels": "result" in computed.get("stiffening", {}),
        "has_ends": bool(computed.get("breadboard", {}).get("result") or {}),
        "drawing": ornament(computed, piece.inputs, width_mm=62, title=label) or "",
    }


def _seasons(piece: Piece) -> dict[str, Any] | None:
    """Return the width in the dry and in the humid season, from the width as made."""
    kept = piece.computed.get("movement", {})
    found, width = kept.get("result"), piece.inputs.get("width_len")
    if not found or not width:
        return None

    def moved(to: str) -> int:
        coefficient = Decimal(found["coefficient"])
        return change(size_len=width, coefficient=coefficient, mc_from=MADE_AT_PCT, mc_to=Decimal(to))

    return {
        "width_len": width,
        "made_pct": MADE_AT_PCT,
        "dry_pct": found["mc_from"],
        "humid_pct": found["mc_to"],
        "dry_rh_pct": kept["inputs"].get("rh_low"),
        "humid_rh_pct": kept["inputs"].get("rh_high"),
        "dry_len": moved(found["mc_from"]),
        "humid_len": moved(found["mc_to"]),
        "notes": kept["notes"],
        "source": kept["source"],
    }


def piece_label(piece: Piece) -> dict[str, Any]:
    """Return the content of a label on a piece."""
    texts = Texts(refs_of([piece]))
    return {
        "number": piece.number,
        "label": texts[piece.label_ref],
        "species": piece.inputs["species"] or "",
        **{f"{side}_len": piece.inputs[f"{side}_len"] for side in ("length", "width", "thickness")},
        "next": next_address(piece.number),
    }
