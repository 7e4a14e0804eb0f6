"""What an issued paper says, read once and frozen: later changes do not reach it."""

from typing import Any

from jobs.commands.shop import settings
from jobs.models import Commission, Piece, ShopProfile
from jobs.private import Texts, refs_of
from jobs.routes import cautions

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
            "Base level and sound",
            "Fixings slotted and snug, movement free",
            "Flatness looked at again, pictures taken",
        ),
    ),
)
"""Common practice, no source."""


def heading(commission: Commission) -> dict[str, Any]:
    """Shop, client and commission as they stand."""
    shop = ShopProfile.objects.first()
    client = commission.client
    texts = Texts(refs_of([x for x in (shop, client, commission) if x]))

    def of_shop(name: str) -> str:
        return texts[getattr(shop, f"{name}_ref")] if shop else ""

    return {
        "shop": {n: of_shop(n) for n in ("name", "address", "contact", "tax_id", "payment", "terms")},
        "client": {n: texts[getattr(client, f"{n}_ref")] for n in ("name", "address", "email", "phone")},
        "commission": {
            "number": commission.number,
            "title": texts[commission.title_ref],
            "promise_on": commission.promise_on,
        },
        "currency": settings()["currency"],
    }


def checklist_content(commission: Commission) -> dict[str, Any]:
    """Pieces with weight and people, what was measured last, boxes and cautions."""
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
        "weight": computed.get("weight", {}).get("result"),
        "lifting": computed.get("lifting", {}).get("result"),
        "measured": checked.measured if checked else {},
    }
