"""Frozen contents of papers, written out by hand, for tests of printing alone."""

from typing import Any

LETTERHEAD: dict[str, Any] = {
    "shop": {
        "name": "Lindenau Table Works", "address": "4 Mill Race\nAldersey", "contact": "555 0199",
        "tax_id": "TX-88121", "postcode": "", "city": "", "country": "US",
        "payment": "Account 1029384756", "terms": "Fourteen days, thank you kindly",
    },
    "client": {
        "name": "Orla Fenwick", "address": "12 Harbour Steps\nAldersey", "email": "orla@fenwick.example",
        "phone": "555 0142", "postcode": "", "city": "", "country": "US", "tax_id": "", "exempt": "",
    },
    "commission": {"number": "2026-014", "title": "Long table for the loft", "promise_on": "2026-06-01"},
    "currency": "USD", "issued_on": "2026-05-20",
}  # fmt: skip
LINE: dict[str, Any] = {
    "description": "Top as drawn", "quantity": "1", "unit_code": "C62", "unit": "piece",
    "unit_price": "1000.00", "tax_category": "S", "tax_pct": "10", "amount": "1000.00",
}  # fmt: skip
LIFTED: dict[str, Any] = {
    "people": 2, "carry": "by hand", "weight_lb": "57.9", "weight_kg": "26.3", "limit_lb": "36.5",
    "team_limit_lb": "48.6", "team_limit_kg": "22.0", "notes": [], "cautions": ["stairs are not covered"],
    "source": ["a table of limits"],
}  # fmt: skip
WEIGHED: dict[str, Any] = {
    "each_lb": "57.9", "each_kg": "26.3", "all_lb": "115.8", "all_kg": "52.6", "density_kg_m3": "593",
    "notes": ["mean of the species"], "source": ["a table of densities"],
}  # fmt: skip
PIECE: dict[str, Any] = {
    "number": "2026-014-1", "label": "Loft table top", "quantity": 1, "species": "black walnut",
    "finish": "water-borne", "length_len": 60 * 203200, "width_len": 30 * 203200, "thickness_len": 304800,
    "weight": WEIGHED, "lifting": LIFTED, "measured": [],
}  # fmt: skip


def an_invoice(*lines: dict[str, Any], **more: Any) -> dict[str, Any]:
    sums = {
        "net": "1000.00", "tax": "100.00", "total": "1100.00", "paid_before": "0", "due": "1100.00",
        "due_on": "2026-06-03", "payments": [],
        "totals": [{"category": "S", "rate_pct": "10", "taxable": "1000.00", "tax": "100.00"}],
    }  # fmt: skip
    head = {"number": "I2026-0001", "kind": "invoice", "lines": [LINE | line for line in lines or ({},)]}
    return {**LETTERHEAD, **head, **sums, **more}


def a_checklist(*pieces: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {
        **LETTERHEAD, "number": "D2026-0001", "kind": "delivery-checklist",
        "pieces": [PIECE | piece for piece in pieces or ({},)],
        "boxes": [{"title": "On the road", "items": ["Loaded on edge", "Strapped"]}],
        "caution": {"title": "Lifting", "text": "Know the weight.", "source": "p. 1",
        "first": "Sheet first."},
        **more,
    }  # fmt: skip
