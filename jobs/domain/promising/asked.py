"""What is to be promised: a commission's own pieces, or a piece like an earlier one."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from jobs.core.errors import Invalid, NotFound, NotYet, WrongState
from jobs.domain import lookups
from jobs.domain.checks import in_range, not_before, one_of
from jobs.domain.stock.product_sheets import newest
from jobs.models import Commission, Piece, Sheet

RACK, BUY = "rack", "buy"
"""Wood that is on the rack and settled, and wood that is still to be bought."""
LEAST_HOURS, MOST_HOURS = Decimal("0.5"), Decimal(2000)
OPEN = (*Commission.UNDECIDED, Commission.Step.ACCEPTED, Commission.Step.IN_SHOP)


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What the plan is asked for.

    ``hours`` are hours of work in all [h]; without them the shop's log and the calculations say. ``finish``
    is the key of another finish. ``day`` is a day that the client asks for.
    """

    commission: str = ""
    like: str = ""
    wood: str = RACK
    finish: str = ""
    hours: Decimal | None = None
    day: date | None = None


def checked(asked: Asked, today: date) -> list[Piece]:
    """Return the pieces that are to be made; refuse what cannot be worked out, named by its field."""
    one_of(asked.wood, (RACK, BUY), field="wood", shown=20)
    if asked.finish:
        one_of(asked.finish, newest(Sheet.Kind.FINISH), "no such finish", field="finish", shown=40)
    if asked.hours is not None:
        in_range(asked.hours, LEAST_HOURS, MOST_HOURS, "not hours of work", field="hours")
    if asked.day is not None:
        not_before(asked.day, today, "promised for a day that has passed", field="day")
    pieces = _pieces(asked)
    if asked.hours is None:
        _refuse_unsized(pieces)
    return pieces


def _pieces(asked: Asked) -> list[Piece]:
    if asked.like:
        like = Piece.objects.filter(number=asked.like).select_related("commission").first()
        if like is None:
            raise NotFound("there is no such piece", field="like", value=asked.like[:40])
        return [like]
    if not asked.commission:
        raise Invalid("choose what to make", field="commission", value="", allowed="a commission or a piece")
    found = lookups.commission(asked.commission)
    if found.step not in OPEN:
        raise WrongState(
            f"commission {found.number} is {found.step}",
            field="commission", value=found.number, allowed=", ".join(OPEN),
        )  # fmt: skip
    pieces = list(found.pieces.select_related("commission").order_by("number"))
    if not pieces:
        raise NotYet(
            f"commission {found.number} has no piece yet",
            field="commission", value=found.number, allowed="add a piece, or choose one that it is like",
        )  # fmt: skip
    return pieces


def _refuse_unsized(pieces: list[Piece]) -> None:
    """Refuse work that no size of any piece tells, where no hours are given either."""
    if not any(is_sized(piece) for piece in pieces):
        raise NotYet(
            f"{pieces[0].number} has no length and width, so nothing says how long it takes",
            field="hours", value="", allowed="hours of work, or the sizes of the piece",
        )  # fmt: skip


def is_sized(piece: Piece) -> bool:
    """Return whether the sizes of a piece are known."""
    return bool(piece.inputs.get("length_len") and piece.inputs.get("width_len"))


def promised_day(text: str, today: date) -> date:
    """Return a day to promise, as it is sent; refuse one that has passed."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise Invalid(
            "this is no day", field="promise_on", value=text, allowed="a day such as 2027-02-12"
        ) from None
    not_before(day, today, "promised for a day that has passed", field="promise_on")
    return day
