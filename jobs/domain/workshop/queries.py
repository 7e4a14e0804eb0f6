"""Views of the shop's settings and product sheets."""

from typing import Any

from jobs.core.canonical_json import plain
from jobs.domain.settings import profile, settings
from jobs.domain.stock.product_sheets import Product, newest
from jobs.log.private_texts import Texts, refs_of
from jobs.log.projections.shop import PRIVATE


def shop_view() -> dict[str, Any]:
    """Return the settings with defaults, and the shop's texts; version 0 before anything was set."""
    shop = profile()
    texts = Texts(refs_of([shop] if shop else []))
    private = {name: texts[getattr(shop, f"{name}_ref")] if shop else "" for name in PRIVATE}
    logo = texts[shop.logo_ref] if shop else ""
    return {**private, **settings(), "logo": logo, "version": shop.version if shop else 0}


def sheet_views(kind: str) -> list[dict[str, Any]]:
    """Return every product of a kind in its newest version, class defaults included."""
    return [sheet_view(kind, product) for product in newest(kind).values()]


def sheet_view(kind: str, product: Product) -> dict[str, Any]:
    sheet = product.entry
    data = plain({**vars(sheet), "source": dict(sheet.source)})
    return {"kind": kind, "key": product.key, "version": product.version, "data": data}
