"""What an issued paper says, read once and frozen: later changes do not reach it."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from calcs.money.invoice import Sums
from jobs.core.errors import Invalid, NotYet
from jobs.domain.billing.balances import Balance, account, balance, currency_of
from jobs.domain.billing.deposits import (
    ZERO,
    deposit_parts,
    deposit_words,
    deposits_of,
    free_money,
    lines_of_deposit,
    lines_off,
    price_sums,
    rest_of,
    sums_of,
)
from jobs.domain.billing.invoice_data import gaps
from jobs.domain.billing.prices import line_views, price_of
from jobs.domain.routes import cautions
from jobs.domain.settings import settings
from jobs.domain.stages.full_cure import full_use
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Commission, Paper, Piece, PriceLine, ShopProfile, Stage

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
            "Outside that: a note signed by the client",
            "Base level and sound",
            "Fixings slotted and snug, movement free",
            "Flatness looked at again, pictures taken",
        ),
    ),
)
"""Common practice, no source."""


def shop_texts() -> dict[str, str]:
    """What the shop says of itself on papers."""
    shop = ShopProfile.objects.first()
    texts = Texts(refs_of([shop] if shop else []))
    return {name: texts[getattr(shop, f"{name}_ref")] if shop else "" for name in SHOP_TEXTS}


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
        "full_use": full_use(piece),
    }


def _figures(kept: dict[str, Any]) -> dict[str, Any] | None:
    """A result with what is to be known about it; None where there is none."""
    if "result" not in kept:
        return None
    return {**kept["result"], "notes": kept["notes"], "source": kept["source"]}


def _measured(stage: Stage) -> list[dict[str, Any]]:
    asked = [g for g in stage.spec["gates"] if g["key"] in stage.measured]
    return [{"key": g["key"], "title": g["title"], **stage.measured[g["key"]]} for g in asked]


def data_gaps(commission: Commission) -> list[str]:
    """What an invoice issued now would lack to carry its data."""
    lines = [{"tax_category": line.tax_category} for line in commission.price_lines.all()]
    return gaps({**heading(commission), "lines": lines})


def usual_due(issued_on: date) -> date:
    """When an invoice is due where nobody says otherwise."""
    return issued_on + timedelta(days=int(settings()["invoice_due_days"]))


def invoice_content(commission: Commission, *, due_on: date) -> dict[str, Any]:
    """The agreed price line by line, less what deposit invoices asked, its sums, and what was received."""
    lines = list(commission.price_lines.order_by("position"))
    _refuse_unless_priced(commission, lines)
    deposits, price = deposits_of(commission), price_of(lines)
    shown = [*line_views(lines, price), *lines_off(deposits, currency_of(commission))]
    rest = rest_of(price.sums, deposits)
    sums = sums_of(shown, paid=free_money(commission), taxes=rest if deposits else None)
    content = _invoice(commission, shown, sums, price=price.sums.gross, due_on=due_on)
    return {**content, "deposits": [{"paper": paper.number} for paper in deposits]} if deposits else content


def deposit_content(commission: Commission, *, pct: Decimal, due_on: date) -> dict[str, Any] | None:
    """A part of the agreed price asked beforehand, with its own tax; None where that is nothing."""
    lines = list(commission.price_lines.order_by("position"))
    _refuse_unless_priced(commission, lines)
    whole, earlier = price_sums(commission), deposits_of(commission)
    parts = deposit_parts(whole, earlier, pct)
    total = sum((part.gross for part in parts.values()), ZERO)
    if not total:
        return None
    currency = currency_of(commission)
    asked = sum((paper.invoice.total for paper in earlier), total)
    if total < 0 or asked > whole.gross:
        raise Invalid(
            "deposits come to more than the price", field="pct", value=pct,
            allowed=f"deposits of up to {whole.gross} {currency} together",
        )  # fmt: skip
    shown = lines_of_deposit(parts, deposit_words(whole, pct, total, currency))
    sums = sums_of(shown, paid=min(free_money(commission), total), taxes=parts)
    return {
        **_invoice(commission, shown, sums, price=whole.gross, due_on=due_on), "what": Paper.DEPOSIT,
    }  # fmt: skip


def _refuse_unless_priced(commission: Commission, lines: list[PriceLine]) -> None:
    if not lines:
        raise NotYet(
            f"commission {commission.number} has no price",
            field="commission",
            value=commission.number,
            allowed="set the price first",
        )


def _invoice(
    commission: Commission, lines: list[dict[str, Any]], sums: Sums, *, price: Decimal, due_on: date
) -> dict[str, Any]:
    before = balance(commission)
    invoiced = (before.invoiced or ZERO) + sums.gross
    return {
        "lines": lines,
        "payments": _payments(commission, sums.paid),
        "currency": currency_of(commission),
        "net": sums.net,
        "tax": sums.tax,
        "total": sums.gross,
        "paid_before": sums.paid,
        "due": sums.due,
        "due_on": due_on,
        "totals": [
            {"category": t.category, "rate_pct": t.rate_pct, "taxable": t.base, "tax": t.tax}
            for t in sums.taxes
        ],
        "order": {
            "agreed": price,
            "invoiced": invoiced,
            "received": before.received,
            "to_pay": invoiced - before.received,
            "to_come": Balance(invoiced=invoiced, received=before.received).to_come(price),
        },
    }


def _payments(commission: Commission, paid: Decimal) -> list[dict[str, Any]]:
    """What of the payments no earlier invoice asked for, up to what is taken off this one."""
    held, found = account(commission), []
    for payment, rest in zip(held.payments, held.allocation.rests, strict=True):
        amount = min(rest, paid)
        if amount > 0:
            found.append({"amount": amount, "received_on": payment.received_on, "what": payment.what})
            paid -= amount
    return found
