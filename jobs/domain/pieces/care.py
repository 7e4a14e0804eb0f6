"""Care of a finished piece: air, movement, and cleaning by the class of its finish.

Common practice, no source, unless stated otherwise; the product's own sheet comes first.
"""

from dataclasses import dataclass
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from calcs.kit.units import format_length
from jobs.domain.pieces.inputs import products_for
from jobs.models import Piece

LEAST_RH_PCT, MOST_RH_PCT = 35, 55
"""Relative humidity of a room that a top likes best [%]."""
AIR = gettext_lazy(
    "Keep the air of the room at 35 to 55 % relative humidity, away from radiators, stoves and"
    " long direct sun."
)
FILM = gettext_lazy(
    "Wipe with a soft damp cloth and dry at once. A drop of mild soap takes grease off. No scouring, no"
    " ammonia, no silicone polish."
)
OILED = gettext_lazy("Wipe with a soft damp cloth and dry at once. No scouring, no ammonia.")
SOFT_FILM = gettext_lazy(
    "Wipe with a soft, barely damp cloth and dry at once. Alcohol and hot cups mark this finish: use mats"
    " and wipe up wine and perfume straight away."
)
EVERY_DAY: dict[str, Promise] = {
    "hard-wax-oil": OILED,
    "penetrating-oil": OILED,
    "shellac": SOFT_FILM,
    "lacquer": SOFT_FILM,
}
OIL_AGAIN = gettext_lazy(
    "Once a year or so, or where it looks dry, a thin coat of the same kind of oil, wiped off to the last"
    " trace. Oily cloths can catch fire by themselves: lay them flat outdoors to dry or keep them under"
    " water."
)
NO_OIL = gettext_lazy("It wants no oil, no wax and no polish. Where it is worn or cut, ask us.")
"""Of a finish that is a film on the wood."""


@dataclass(frozen=True, kw_only=True)
class Care:
    """The care instructions of one piece: every day, and when the finish wears; empty without a finish."""

    piece: str
    finish: str
    cleaning: str
    renewing: str
    movement: str


def care_of(piece: Piece) -> Care:
    """Return the care of a piece's finish and the movement of its wood."""
    faces = products_for("finish", piece.inputs)[:1]
    family = faces[0].sheet.family if faces else ""
    renewing = OIL_AGAIN if EVERY_DAY.get(family) is OILED else NO_OIL
    return Care(
        piece=piece.number,
        finish=faces[0].sheet.name if faces else "",
        cleaning=str(EVERY_DAY.get(family, FILM)) if family else "",
        renewing=str(renewing) if family else "",
        movement=_movement(piece.computed.get("movement", {})),
    )


def _movement(kept: dict[str, Any]) -> str:
    """Return the yearly movement of the piece in words, in both units; empty where not calculated."""
    change = kept.get("result", {}).get("change_len")
    if not change:
        return ""
    inch, mm = (format_length(abs(change), unit).removeprefix("≈ ") for unit in ("in", "mm"))
    return _(
        "Solid wood breathes. Across the grain this piece can be up to about %(inch)s (%(mm)s) wider in the"
        " most humid part of the year than in the driest. It is built for that; leave its fixings free"
        " to slide."
    ) % {"mm": mm, "inch": inch}
