"""What can be chosen when the plan is asked: commissions, earlier pieces, people, products."""

from dataclasses import dataclass

from jobs.domain.lookups import short_number
from jobs.domain.planning.assignments import people_here
from jobs.domain.stock.product_sheets import newest
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Commission, Piece, Sheet

Choice = tuple[str, str]
PLANNED = (Commission.Step.ACCEPTED, Commission.Step.IN_SHOP, Commission.Step.READY)
MOST_PIECES = 40
"""Earlier pieces that are offered, the newest first."""


@dataclass(frozen=True, kw_only=True)
class Choices:
    """Keys with the words for them. ``commissions`` are not decided yet, ``planned`` are in the plan."""

    commissions: list[Choice]
    planned: list[Choice]
    pieces: list[Choice]
    people: list[Choice]
    glues: list[Choice]
    finishes: list[Choice]


def choices() -> Choices:
    """Return what can be chosen now, in a fixed number of queries."""
    steps = (*Commission.UNDECIDED, *PLANNED)
    commissions = list(Commission.objects.filter(step__in=steps).order_by("number"))
    pieces = list(Piece.objects.defer("computed").select_related("commission").order_by("-id")[:MOST_PIECES])
    texts = Texts(refs_of([*commissions, *pieces]))

    def named(some: tuple[str, ...]) -> list[Choice]:
        return [
            (one.number, f"{short_number(one.number)} {texts[one.title_ref]}")
            for one in commissions
            if one.step in some
        ]

    return Choices(
        commissions=named(Commission.UNDECIDED),
        planned=named(PLANNED),
        pieces=[(one.number, f"{short_number(one.number)} {texts[one.label_ref]}") for one in pieces],
        people=[(one.id, str(one)) for one in people_here()],
        glues=_products(Sheet.Kind.GLUE),
        finishes=_products(Sheet.Kind.FINISH),
    )


def _products(kind: str) -> list[Choice]:
    return sorted((key, str(one.sheet.name)) for key, one in newest(kind).items())
