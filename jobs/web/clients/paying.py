"""How the client pays each open invoice, as it says itself, with the code for a bank's app."""

import json
from collections.abc import Sequence
from typing import Any

from jobs.documents.kit.pay_box import payment_code
from jobs.domain.billing.paying import pay_to
from jobs.log.private_texts import FORGOTTEN, Texts
from jobs.models import Paper


def with_ways(bills: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return open invoices, each with its account, reference and code."""
    numbers = [bill["number"] for bill in bills]
    refs = dict(Paper.objects.filter(number__in=numbers).values_list("number", "frozen_ref"))
    texts = Texts(refs.values())
    return [{**bill, **_way(texts[refs[bill["number"]]], bill)} for bill in bills]


def _way(text: str, bill: dict[str, Any]) -> dict[str, Any]:
    if text == FORGOTTEN:
        return {"account": None, "code": ""}
    frozen = json.loads(text)
    return {"account": pay_to(frozen), "code": payment_code(frozen, amount=bill["amount"])}
