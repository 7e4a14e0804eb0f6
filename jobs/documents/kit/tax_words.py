"""What papers call the tax, its numbers and its rows; papers of before say tax."""

from collections.abc import Mapping
from typing import Any

from jobs.documents.kit.wording import percent
from jobs.domain.billing.taxes import ON_PAPER
from jobs.domain.settings import SALES_TAX


def tax_within(frozen: Mapping[str, Any]) -> str:
    """Return the name of the tax within a sentence: ``VAT``, ``sales tax``."""
    return str(frozen.get("tax_name") or "tax")


def tax_name(frozen: Mapping[str, Any]) -> str:
    """Return the name of the tax as a sentence begins with it: ``VAT``, ``Sales tax``."""
    name = tax_within(frozen)
    return f"{name[0].upper()}{name[1:]}"


def number_names(frozen: Mapping[str, Any]) -> dict[str, str]:
    """Return what the tax is called, and the numbers of shop and client."""
    name = str(frozen.get("tax_name") or "")
    ours = {"": "Tax number", SALES_TAX: "Seller's permit"}.get(name, f"Our {name} no.")
    yours = "Tax number" if name in ("", SALES_TAX) else f"Your {name} no."
    return {"name": tax_name(frozen), "within": name, "ours": ours, "yours": yours}


def rate_words(category: str, rate: str) -> str:
    """Return the rate of a line, or in words why it has none."""
    return percent(rate) if category == "S" else ON_PAPER[category]
