"""What a quote says beside its lines: each piece with its drawing and specification, and when it is paid."""

from collections.abc import Mapping
from typing import Any

from jobs.domain import lookups
from jobs.domain.billing.deposits import deposits_of
from jobs.domain.billing.prices import line_of
from jobs.domain.billing.taxes import ZERO, gross_of
from jobs.domain.commissions.paper_content import MADE_AT_PCT
from jobs.domain.papers.letterhead import sizes_of_shop
from jobs.domain.pieces.drawing import TOLERANCE, thumbnail
from jobs.domain.quoting.alternatives import place_of
from jobs.domain.quoting.offer_content import offer_content
from jobs.domain.settings import settings
from jobs.domain.stock.product_sheets import product
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Commission, Offer, OfferLine, Piece

SIDES = ("length_len", "width_len", "thickness_len")
WIDE = 76
"""Room for a drawing beside its specification [mm]."""
CLIENT_VIEW = "C"
"""The letter of the client's drawing behind the number of its piece."""


def paper_content(offer: Offer) -> dict[str, Any]:
    """Return what a version says on its paper: its content, and what is read of pieces and settings now."""
    content, commission, shop = offer_content(offer), offer.commission, settings()
    if offer.kind == Offer.Kind.CHANGE:
        deposits = sum((gross_of(one.parts) for one in deposits_of(commission)), ZERO)
        return {**content, "deposits": deposits}
    return {
        **content,
        "pieces": quoted_pieces(commission, lookups.offer_lines(offer)),
        "due_days": shop["invoice_due_days"],
        "wood_after_deposit": shop["deposit_before_wood"] == "yes",
    }


def quoted_pieces(commission: Commission, lines: list[OfferLine]) -> list[dict[str, Any]]:
    """Return each piece with a size or a wood: its drawing, specification, and the line that prices it."""
    pieces, unit = lookups.pieces(commission), str(sizes_of_shop()["unit"])
    texts = Texts(refs_of([*pieces, *lines]))
    labels = {piece.number: texts[piece.label_ref] for piece in pieces}
    told = [line_of(line, texts) for line in lines]
    return [
        {
            **_piece(piece, labels[piece.number], unit),
            "line": place_of(told, piece.number, labels) if told else None,
        }
        for piece in pieces
        if any(piece.inputs.get(name) for name in (*SIDES, "species"))
    ]


def _piece(piece: Piece, label: str, unit: str) -> dict[str, Any]:
    inputs = piece.inputs
    stiff, ends = _figures(piece, "stiffening"), _figures(piece, "breadboard")
    drawing = thumbnail(piece.computed, inputs, width_mm=WIDE, unit=unit, title=label) or ""
    return {
        "number": piece.number,
        "label": label,
        "quantity": piece.quantity,
        "revision": piece.revision,
        "drawing": drawing,
        "drawing_number": f"{piece.number}-{CLIENT_VIEW}" if drawing else "",
        **{name: inputs.get(name) for name in SIDES},
        "tolerance_len": TOLERANCE[unit],
        "made_pct": MADE_AT_PCT,
        "wood": str(inputs.get("species") or "").partition(" (")[0],
        "cut": inputs.get("cut") or "",
        "edge": inputs.get("edge_profile") or "",
        "end_wide_len": ends.get("end_wide_len"),
        "pegs": len(ends.get("pegs", ())),
        "reveal": {name: (ends.get("reveal") or {}).get(name) for name in ("dry_len", "humid_len")},
        "channels": stiff.get("count", 0),
        "finish": _finish(inputs, "finish_face"),
        "finish_under": _finish(inputs, "finish_under"),
    }


def _figures(piece: Piece, name: str) -> Mapping[str, Any]:
    return piece.computed.get(name, {}).get("result") or {}


def _finish(inputs: Mapping[str, Any], name: str) -> str:
    key = inputs.get(name)
    return str(product("finish", key).sheet.name) if key else ""
