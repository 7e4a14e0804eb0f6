"""Shelf life of supplies."""

from datetime import date, timedelta

from django.utils.translation import gettext as _

from jobs.domain.stock.product_sheets import products
from jobs.models import Supply


def shelf_life(supply: Supply) -> int | None:
    """Return the shelf life [days] of a supply: its own, else its sheet's as it stands now."""
    if supply.shelf_life_d is not None:
        return supply.shelf_life_d
    product = products().get(supply.kind, {}).get(supply.sheet)
    return getattr(product.sheet, "shelf_life_d", None) if product else None


def best_before(supply: Supply) -> date | None:
    """Return the printed date or the end of the shelf life, whichever is first; None where unknown.

    The shelf life counts from the day of purchase or opening, whichever is earlier. Nobody knows how long the
    supply stood before. Common practice, no source.
    """
    life = shelf_life(supply)
    since = min(supply.got_on, supply.opened_on or supply.got_on)
    dates = [supply.use_by, since + timedelta(days=life) if life is not None else None]
    return min((d for d in dates if d), default=None)


def lot_warnings(lot: str, day: date) -> list[str]:
    """Return the defects of a glue lot used on a day: not on the shelf, or past its date."""
    found = list(Supply.objects.filter(kind=Supply.Kind.GLUE, lot__iexact=lot))
    if not found:
        return [_("lot %(lot)s is not among the supplies: how old it is, nobody knows") % {"lot": lot}]
    dates = [best_before(s) for s in found]
    if all(d is not None and d < day for d in dates):
        last = max(d for d in dates if d)
        return [_("lot %(lot)s is past its date: best before %(last)s") % {"lot": lot, "last": last}]
    return []
