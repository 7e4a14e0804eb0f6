"""Commissions and their prices from the log."""

from datetime import date
from decimal import Decimal
from typing import Any

from jobs.core.refs import ref
from jobs.log.projections import rows
from jobs.log.projections.boards import free_reserved
from jobs.log.projections.equipment import free_all
from jobs.models import Commission, Event, Piece, PriceLine
from jobs.models.bases import row_key


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def opened(event: Event) -> None:
    data = event.data
    Commission.objects.create(
        id=row_key(event.seq),
        number=data["number"],
        client_id=data["client"],
        title_ref=ref(data["title"]),
        notes_ref=ref(data["notes"]),
        promise_on=_day(data["promise_on"]),
        opened_at=event.occurred_at,
        step_at=event.occurred_at,
        version=event.seq,
    )


def changed(event: Event) -> None:
    data = event.data
    fields = {f"{name}_ref": ref(data[name]) for name in ("title", "notes") if name in data}
    if "promise_on" in data:
        fields["promise_on"] = _day(data["promise_on"])
    if "tell_days" in data:
        fields["tell_days"] = data["tell_days"]
    rows.change_commission(data["number"], **fields)


def moved(event: Event) -> None:
    data = event.data
    _stands(event)
    if data["to"] in (Commission.Step.CANCELLED, Commission.Step.DECLINED):
        pieces = Piece.objects.filter(commission__number=data["number"])
        numbers = list(pieces.values_list("number", flat=True))
        free_reserved(event, numbers)
        free_all(numbers)


def acceptance_taken_back(event: Event) -> None:
    _stands(event)


def _stands(event: Event) -> None:
    """Write where a commission stands now, on the routes in hand too."""
    data = event.data
    fields = {"step": data["to"], "step_at": event.occurred_at, "step_reason_ref": ref(data["reason"])}
    rows.change_commission(data["number"], **fields)


def price_set(event: Event) -> None:
    data = event.data
    rows.change_commission(data["number"], price_currency=data["currency"])
    key = rows.commission_id(data["number"])
    PriceLine.objects.filter(commission=key).delete()
    PriceLine.objects.bulk_create(
        PriceLine(commission_id=key, **priced(event, n)) for n in range(len(data["lines"]))
    )


def priced(event: Event, n: int) -> dict[str, Any]:
    """The n-th line of a price that the event tells, as a row has it."""
    line = event.data["lines"][n]
    return {
        "id": row_key(event.seq, n),
        "position": n + 1,
        "description_ref": ref(line["description"]),
        "quantity": Decimal(line["quantity"]),
        "unit_code": line["unit_code"],
        "unit_price": Decimal(line["unit_price"]),
        "tax_category": line["tax_category"],
        "tax_pct": Decimal(line["tax_pct"]),
    }
