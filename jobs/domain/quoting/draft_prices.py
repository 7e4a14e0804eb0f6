"""Prices of a draft: proposed lines for its pieces, and the difference of each alternative."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from decimal import Decimal
from typing import Any

from calcs.kit.errors import CalcError
from jobs.core.errors import Invalid, ShopError
from jobs.core.units import Units
from jobs.domain.billing.prices import Line, UsualTax
from jobs.domain.checks import at_most, has_words
from jobs.domain.quoting.draft_content import MOST_ALTERNATIVES, Alternative
from jobs.domain.quoting.proposals import (
    FINISH,
    SPECIES,
    Asked,
    basis_of,
    cost_of,
    difference_or_refuse,
    known_hours,
    price_alternative,
    words_for,
)
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Commission, Piece


def proposed_lines(
    commission: Commission, asked: Asked, units: Units, usual: UsualTax
) -> tuple[list[Line], dict[str, Any]]:
    """Return a line for each piece, at the calculated price or 0, and the basis of the prices.

    Prices come as they are typed: with their tax where ``usual`` has it inside.
    """
    pieces = list(commission.pieces.order_by("number").prefetch_related("stages"))
    texts, known = Texts(refs_of(pieces)), known_hours(pieces, asked)
    lines, basis = [], []
    for piece in pieces:
        cost = cost_of(piece.inputs, piece.computed, known[piece.number].hours)
        told = basis_of(piece, known[piece.number], cost)
        price = usual.typed(cost.price) if cost else Decimal("0.00")
        basis.append({**told, "price": str(price)} if cost else told)
        words = words_for(piece, texts[piece.label_ref], units)
        lines.append(Line(description=words, unit_price=price, **usual.line()))
    return lines, {"pieces": basis}


def priced_alternatives(
    commission: Commission,
    alternatives: Sequence[Alternative],
    hours: Mapping[str, Decimal],
    usual: UsualTax,
) -> list[Alternative]:
    """Return alternatives with descriptions and differences; typed ones stay, others are calculated."""
    at_most(len(alternatives), MOST_ALTERNATIVES, "too many", field="alternatives")
    pieces = {p.number: p for p in commission.pieces.prefetch_related("stages")}
    texts = Texts(refs_of(pieces.values()))
    made = []
    for n, one in enumerate(alternatives):
        if one.piece:
            piece = _piece(pieces, n, one)
            hour = hours.get(piece.number, Decimal(0))
            made.append(_of_piece(piece, texts[piece.label_ref], n, one, hour, usual))
        else:
            made.append(_option(n, one))
    return made


def _of_piece(
    piece: Piece, label: str, n: int, one: Alternative, hours: Decimal, usual: UsualTax
) -> Alternative:
    what, to = (SPECIES, one.species) if one.species else (FINISH, one.finish)
    with _named(f"alternatives/{n}"):
        other = price_alternative(piece, label, what, to, hours)
        told = one.difference
        difference = usual.typed(difference_or_refuse(other, what)) if told is None else told
    return Alternative(
        piece=piece.number,
        species=other.inputs["species"] if what == SPECIES else "",
        finish=to if what == FINISH else "",
        description=one.description.strip() or other.description,
        difference=difference,
    )


def _option(n: int, one: Alternative) -> Alternative:
    """Return an option in words, which changes no piece; refuse one without words or difference."""
    field = f"alternatives/{n}"
    if one.species or one.finish:
        says, allowed = "another species or finish is that of a piece", "a piece"
        raise Invalid(says, field=f"{field}/piece", value="", allowed=allowed)
    has_words(one.description, "say what it is", field=f"{field}/description", allowed="a few words")
    if one.difference is None:
        says, allowed = "say what it adds to the price", "an amount; below 0 where it saves"
        raise Invalid(says, field=f"{field}/difference", value=None, allowed=allowed)
    return one


@contextmanager
def _named(where: str) -> Iterator[None]:
    """Prefix the field of a refusal inside the block with the place of its entry."""
    try:
        yield
    except (ShopError, CalcError) as refused:
        refused.field = f"{where}/{refused.field}"
        raise


def _piece(pieces: Mapping[str, Piece], n: int, one: Alternative) -> Piece:
    if one.piece not in pieces:
        allowed = ", ".join(sorted(pieces)) or "a piece of the commission"
        raise Invalid("no such piece", field=f"alternatives/{n}/piece", value=one.piece[:40], allowed=allowed)
    if bool(one.species) == bool(one.finish):
        raise Invalid(
            "an alternative is one other species or one other finish", field=f"alternatives/{n}",
            value=f"{one.species} {one.finish}".strip(), allowed="species or finish",
        )  # fmt: skip
    return pieces[one.piece]
