"""What an issued paper says, read once and frozen: later changes do not reach it."""

from datetime import date, timedelta
from typing import Any

from jobs.balance import balance, currency_of
from jobs.errors import NotYet
from jobs.models import Commission, Piece, ShopProfile, Stage
from jobs.pricing import line_views, price_of
from jobs.private import Texts, refs_of
from jobs.routes import cautions
from jobs.shop import settings

SUMS = ("currency", "net", "tax", "total", "paid_before", "due", "due_on", "totals")
"""What of an invoice is kept as figures, beside its words."""

SHOP_TEXTS = (
    "name", "address", "postcode", "city", "country", "contact", "tax_id", "payment", "terms",
)  # fmt: skip
CLIENT_TEXTS = (
    "name", "address", "postcode", "city", "country", "email", "phone", "tax_id", "exempt",
)  # fmt: skip
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
        "shop": {n: of_shop(n) for n in SHOP_TEXTS},
        "client": {n: texts[getattr(client, f"{n}_ref")] for n in CLIENT_TEXTS},
        "commission": {
            "number": commission.number,
            "title": texts[commission.title_ref],
            "promise_on": commission.promise_on,
        },
        "currency": currency_of(commission),
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
        "weight": _figures(computed.get("weight", {})),
        "lifting": _figures(computed.get("lifting", {})),
        "measured": _measured(checked) if checked else [],
    }


def _figures(kept: dict[str, Any]) -> dict[str, Any] | None:
    """A result with what is to be known about it; None where there is none."""
    if "result" not in kept:
        return None
    return {**kept["result"], "notes": kept["notes"], "source": kept["source"]}


def _measured(stage: Stage) -> list[dict[str, Any]]:
    asked = [g for g in stage.spec["gates"] if g["key"] in stage.measured]
    return [{"key": g["key"], "title": g["title"], **stage.measured[g["key"]]} for g in asked]


def usual_due(issued_on: date) -> date:
    """When an invoice is due where nobody says otherwise."""
    return issued_on + timedelta(days=int(settings()["invoice_due_days"]))


def invoice_content(commission: Commission, *, due_on: date) -> dict[str, Any]:
    """The agreed price line by line, its sums, and what was received so far."""
    lines = list(commission.price_lines.order_by("position"))
    if not lines:
        raise NotYet(
            f"commission {commission.number} has no price",
            field="commission",
            value=commission.number,
            allowed="set the price first",
        )
    received = balance(commission).received
    price = price_of(lines, paid=received)
    sums = price.sums
    return {
        "lines": line_views(lines, price),
        "payments": [
            {"amount": p.amount, "received_on": p.received_on, "what": p.what}
            for p in commission.payments.order_by("received_on", "id")
        ],
        "currency": currency_of(commission),
        "net": sums.net,
        "tax": sums.tax,
        "total": sums.gross,
        "paid_before": received,
        "due": sums.due,
        "due_on": due_on,
        "totals": [
            {"category": t.category, "rate_pct": t.rate_pct, "taxable": t.base, "tax": t.tax}
            for t in sums.taxes
        ],
    }
