"""Hours requested for a quote: checked, with hints where the shop's own rates could fill in."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from jobs.core.errors import Invalid, NotYet
from jobs.domain.checks import one_of
from jobs.domain.commissions.labour_rates import LEAST_JOBS, kinds_of, offered, rates
from jobs.domain.quoting.proposals import MINUTES, Asked
from jobs.domain.settings import settings
from jobs.models import Commission, Piece

MOST_HOURS = Decimal(10_000)


def asked_hours(
    commission: Commission,
    hours: Mapping[str, Decimal],
    minutes: Mapping[str, Mapping[str, Decimal]],
    own: Sequence[str],
) -> Asked:
    """Return the requested hours; refuse unknown pieces and kinds, and a piece asked in two ways."""
    pieces = {p.number: p for p in commission.pieces.prefetch_related("stages")}
    for name, named in (("hours", hours), ("minutes", minutes), ("own_hours", own)):
        for number in named:
            _check_piece(name, number, pieces)
    for number, value in hours.items():
        _check("hours", value, MOST_HOURS)
        if number in minutes or number in own:
            says, allowed = "hours in one sum, or by stage and the shop's own", "one of them for each piece"
            raise Invalid(says, field="hours", value=number, allowed=allowed)
    for number, of_kind in minutes.items():
        _check_kinds(pieces[number], of_kind)
    known = rates() if own else {}
    for number in own:
        if not offered(pieces[number], known):
            says = f"the log has fewer than {LEAST_JOBS} jobs of every kind of stage of {number}"
            raise NotYet(says, field="own_hours", value=number, allowed="hours that you type")
    return Asked(hours=dict(hours), minutes=dict(minutes), own=tuple(own))


def refuse_unpriced_hours(asked: Asked) -> None:
    """Refuse hours while the shop has no hourly rate; a proposed price would leave them out."""
    if settings()["hourly_rate"] is not None:
        return
    given: dict[str, Any] = {f"hours/{number}": value for number, value in asked.hours.items() if value}
    for number, of_kind in asked.minutes.items():
        given |= {f"minutes/{number}/{kind}": value for kind, value in of_kind.items() if value}
    given |= {f"own_hours/{number}": number for number in asked.own}
    for field, value in given.items():
        raise NotYet(
            "the shop has no rate of an hour: these hours would not be in the price",
            field=field, value=value, allowed="none until the shop's settings have a rate of an hour",
        )  # fmt: skip


def hints(commission: Commission, asked: Asked) -> list[str]:
    """Return a hint for each piece without hours for which the shop's own rates exist."""
    pieces = commission.pieces.order_by("number").prefetch_related("stages")
    bare = [p for p in pieces if p.number not in {*asked.hours, *asked.minutes, *asked.own}]
    known = rates() if bare else {}
    return [
        f"{p.number} has no hours; the shop's own would be {_sum(found)} h for {len(found)} kinds of stage"
        for p in bare
        if (found := offered(p, known))
    ]


def _sum(found: list[dict[str, Decimal]]) -> str:
    return f"{sum((one['minutes'] for one in found), Decimal(0)) / MINUTES:.1f}"


def _check_piece(name: str, number: str, pieces: Mapping[str, Piece]) -> None:
    one_of(number, sorted(pieces), "no such piece", field=name, shown=40)


def _check_kinds(piece: Piece, of_kind: Mapping[str, Decimal]) -> None:
    kinds = kinds_of(piece)
    for kind, value in of_kind.items():
        one_of(kind, kinds, f"{piece.number} has no such stage", field="minutes", shown=60)
        _check("minutes", value, MOST_HOURS * MINUTES)


def _check(name: str, value: Decimal, most: Decimal) -> None:
    if not (value.is_finite() and 0 <= value <= most):
        raise Invalid(f"not {name}", field=name, value=value, allowed=f"0 to {most}")
