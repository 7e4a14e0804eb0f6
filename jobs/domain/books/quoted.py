"""What a commission was quoted to cost, by lumber, finish, supplies, other and hours."""

from collections import defaultdict
from collections.abc import Collection
from decimal import Decimal

from calcs.money.costing_inputs import MATERIALS
from jobs.models import Commission, Offer

LUMBER, FINISH, SUPPLIES, OTHER, HOURS = KINDS = ("lumber", "finish", "supplies", "other", "hours")
"""The kinds of cost, in the order of pages and tables."""
KIND_OF = {**dict.fromkeys(MATERIALS, SUPPLIES), "lumber": LUMBER, "finish": FINISH, "other": OTHER}
MATERIAL, AN_HOUR = "material: ", "h"
NOT_COSTS = ("overhead", "markup", "margin", "rounding")
"""Lines of a price that no purchase or hour of a commission stands against."""


def quoted_costs(commissions: Collection[Commission]) -> dict[int, dict[str, Decimal]]:
    """Return the costs behind the newest agreed quote of each commission, by kind; without one, nothing.

    A price that was typed over the calculated one keeps the costs that were calculated.
    """
    found: dict[int, dict[str, Decimal]] = {}
    offers = Offer.objects.filter(
        commission__in=commissions, kind=Offer.Kind.QUOTE, step=Offer.Step.ACCEPTED
    ).order_by("id")
    for commission, basis in offers.values_list("commission_id", "basis"):
        sums: dict[str, Decimal] = defaultdict(Decimal)
        for piece in (basis or {}).get("pieces", []):
            for line in piece.get("lines", []):
                if line["what"] not in NOT_COSTS:
                    sums[_kind(line)] += Decimal(line["amount"])
        if sums:
            found[commission] = dict(sums)
    return found


def _kind(line: dict[str, str]) -> str:
    if line["unit"] == AN_HOUR:
        return HOURS
    why = line["why"]
    material = why.removeprefix(MATERIAL).split(",")[0] if why.startswith(MATERIAL) else "other"
    return KIND_OF.get(material, OTHER)
