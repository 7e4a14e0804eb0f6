"""Quotes and change orders: write, revise, issue. What is proposed is figured before the log is locked."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from calcs.kit.errors import CalcError
from calcs.money.invoice import Sums
from jobs.core.errors import AlreadyDone, Invalid, ShopError, WrongState
from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.billing.deposits import sums_of_lines
from jobs.domain.billing.prices import MOST_LINES, Line, kept_line, line_of
from jobs.domain.checks import refuse_if_ended
from jobs.domain.lifecycle import move
from jobs.domain.papers.issuing import issue_paper
from jobs.domain.papers.letterhead import currency_for_price, heading
from jobs.domain.quoting.drafts import the_draft
from jobs.domain.quoting.offer_content import offer_content
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
from jobs.domain.quoting.quote_hours import asked_hours, hints, refuse_unpriced_hours
from jobs.domain.settings import settings
from jobs.log.commands import CommandContext, CommandResult, CommandTransaction, command, replayed_result
from jobs.log.private_texts import Texts, refs_of, store_private_text
from jobs.models import Commission, Offer, OfferAlternative, Paper, Piece

Step, Kind = Offer.Step, Offer.Kind
MOST_ALTERNATIVES, LONGEST_VALID_D = 40, 365
MOST_DIFFERENCE = Decimal(10_000_000)
QUOTED_FROM = (Commission.Step.ENQUIRY, Commission.Step.QUOTED)
CHANGED_FROM = (Commission.Step.ACCEPTED, Commission.Step.IN_SHOP, Commission.Step.READY)
TEXTS = ("words", "terms")


@dataclass(frozen=True, kw_only=True)
class Alternative:
    """A piece in another species or with another finish; what is not told of it is figured."""

    piece: str
    species: str = ""
    finish: str = ""
    description: str = ""
    difference: Decimal | None = None


@dataclass(frozen=True, kw_only=True)
class Content:
    """All that a version says."""

    lines: tuple[Line, ...]
    alternatives: tuple[Alternative, ...] = ()
    words: str = ""
    terms: str = ""
    valid_days: int
    promise_on: date | None = None
    deposit_pct: Decimal = Decimal(0)


def draft_quote(
    call: CommandContext,
    *,
    commission: str,
    lines: Sequence[Line] | None = None,
    alternatives: Sequence[Alternative] = (),
    hours: Mapping[str, Decimal] | None = None,
    minutes: Mapping[str, Mapping[str, Decimal]] | None = None,
    own_hours: Sequence[str] = (),
    units: Units | None = None,
    **more: Any,
) -> CommandResult:
    """Write the first version of a quote; without lines it proposes one for each piece, and keeps why.

    Hours that a proposal could not count for want of a rate are refused; beside lines they are kept.

    ``hours`` are hours of work by piece; or ``minutes`` by piece and kind of stage. Pieces in ``own_hours``
    take the shop's own rates for what was not typed. ``more``: words, terms, valid_days, promise_on,
    deposit_pct.
    """
    if earlier := replayed_result(call):
        return earlier
    found = lookups.commission(commission)
    asked = asked_hours(found, hours or {}, minutes or {}, own_hours)
    if lines is None:
        refuse_unpriced_hours(asked)
    proposed, basis = _proposed(found, asked, units or Units())
    hours = {told["piece"]: Decimal(told["hours"]) for told in basis["pieces"]}
    shop = settings()
    given = {
        "valid_days": shop["quote_valid_days"],
        "promise_on": found.promise_on,
        "deposit_pct": Decimal(shop["deposit_pct"]),
        **more,
        "lines": tuple(proposed if lines is None else lines),
        "alternatives": tuple(_figured(found, alternatives, hours)),
    }
    return _draft(
        call, commission=commission, kind=Kind.QUOTE, content=_content(given), basis=basis,
        hints=hints(found, asked) if lines is None else [],
    )  # fmt: skip


def draft_change_order(
    call: CommandContext, *, commission: str, words: str, lines: Sequence[Line] = (), **more: Any
) -> CommandResult:
    """Write the first version of a change order: what is added, or left out, and why."""
    given = {"valid_days": settings()["quote_valid_days"], **more, "words": words, "lines": tuple(lines)}
    return _draft(call, commission=commission, kind=Kind.CHANGE, content=_content(given), basis={}, hints=[])


def rewrite_offer(
    call: CommandContext,
    *,
    offer: str,
    alternatives: Sequence[Alternative] | None = None,
    **changes: Any,
) -> CommandResult:
    """Change what the newest version says; one that was issued stays, and a next version is begun.

    ``changes``: lines, words, terms, valid_days, promise_on, deposit_pct; what is not given stays.
    """
    if earlier := replayed_result(call):
        return earlier
    found = lookups.offer(offer)
    if alternatives is not None:
        hours = {told["piece"]: Decimal(told["hours"]) for told in found.basis.get("pieces", [])}
        changes["alternatives"] = tuple(_figured(found.commission, alternatives, hours))
    if "lines" in changes:
        changes["lines"] = tuple(changes["lines"])
    return _rewrite(call, offer=offer, version=found.version, changes=changes)


@command
def _draft(
    tx: CommandTransaction,
    *,
    commission: str,
    kind: Offer.Kind,
    content: Content,
    basis: dict[str, Any],
    hints: list[str],
) -> None:
    tx.require_owner(f"a {kind.label.lower()}")
    found = lookups.commission(commission)
    tx.check_version(found.version, what=f"commission {commission}")
    refuse_if_not_open_to(found, kind)
    earlier = found.offers.filter(kind=kind)
    if kind == Kind.QUOTE and earlier.exists():
        raise AlreadyDone(
            f"there is quote {earlier[0].number}", field="commission", value=commission,
            allowed="a new version of it",
        )  # fmt: skip
    if unpriced := [p["piece"] for p in basis.get("pieces", []) if p["price"] is None]:
        tx.notices.append(f"the shop's settings have no rates for {', '.join(unpriced)}: no price proposed")
    tx.notices.extend(hints)
    letter = "Q" if kind == Kind.QUOTE else "X"
    count = len(set(earlier.values_list("number", flat=True))) + 1
    _append(tx, found, kind, f"{commission}-{letter}{count}", 1, content, basis)


@command
def _rewrite(tx: CommandTransaction, *, offer: str, version: int, changes: dict[str, Any]) -> None:
    tx.require_owner("a quote")
    found = lookups.offer(offer)
    commission = found.commission
    tx.check_version(commission.version, what=f"commission {commission.number}")
    if found.version != version:
        raise WrongState(
            f"{offer} was changed at the same moment", field="offer", value=offer, allowed="try again"
        )
    refuse_if_not_open_to(commission, Kind(found.kind))
    if found.step == Step.ACCEPTED:
        raise AlreadyDone(f"{offer} is accepted", field="offer", value=offer, allowed="a change order")
    content = _content({**vars(content_of(found)), **changes})
    following = version if found.step == Step.DRAFT else version + 1
    _append(tx, commission, Kind(found.kind), offer, following, content, found.basis)


@command
def issue_offer(tx: CommandTransaction, *, offer: str) -> None:
    """Issue the drafted version as a numbered paper; it supersedes the version before."""
    found = the_draft(tx, offer, allowed="a draft: revise it first")
    commission = found.commission
    kind = Kind(found.kind)
    refuse_if_not_open_to(commission, kind)
    today = timezone.localtime(tx.call.at).date()
    if found.promise_on and found.promise_on < today:
        raise Invalid(
            "promised for a day that has passed", field="promise_on", value=found.promise_on,
            allowed=f"{today} or later",
        )  # fmt: skip
    expire(tx, offer, today)
    valid_until = today + timedelta(days=found.valid_days)
    content = {**heading(commission), **offer_content(found), "valid_until": valid_until}
    paper_kind = Paper.Kind.QUOTE if kind == Kind.QUOTE else Paper.Kind.CHANGE
    stream = f"commission:{commission.number}"
    issue_paper(tx, paper_kind, content, stream=stream, commission=commission.number)
    paper = tx.events[-1].data["paper"]
    tx.append(
        "offer_issued",
        stream,
        {"offer": offer, "version": found.version, "valid_until": valid_until, "issued_as": paper},
    )
    if kind == Kind.QUOTE and commission.step == Commission.Step.ENQUIRY:
        move(tx, commission, Commission.Step.QUOTED)


def expire(tx: CommandTransaction, offer: str, today: date) -> None:
    """Put down that the issued version has expired, where it has. For other commands."""
    for one in Offer.objects.filter(number=offer, step=Step.ISSUED):
        if one.is_over(today):
            tx.append(
                "offer_expired",
                f"commission:{one.commission.number}",
                {"offer": offer, "version": one.version},
            )


def refuse_if_not_open_to(commission: Commission, kind: Offer.Kind) -> None:
    """A quote comes before the order, a change order while it is made. For other commands."""
    refuse_if_ended(commission)
    steps = QUOTED_FROM if kind == Kind.QUOTE else CHANGED_FROM
    if commission.step not in steps:
        raise WrongState(
            f"commission {commission.number} is {commission.step}: no {kind.label.lower()} for it",
            field="commission", value=commission.number, allowed=f"commissions that are {', '.join(steps)}",
        )  # fmt: skip


def content_of(offer: Offer) -> Content:
    """What a version says, to be changed or carried out."""
    lines, alternatives = list(offer.lines.order_by("position")), alternatives_of(offer)
    texts = Texts(refs_of([offer, *lines, *alternatives]))
    return Content(
        lines=tuple(line_of(line, texts) for line in lines),
        alternatives=tuple(
            Alternative(
                piece=a.piece,
                **{a.what: a.to},
                description=texts[a.description_ref],
                difference=a.difference,
            )
            for a in alternatives
        ),
        words=texts[offer.words_ref],
        terms=texts[offer.terms_ref],
        valid_days=offer.valid_days,
        promise_on=offer.promise_on,
        deposit_pct=offer.deposit_pct,
    )


def alternatives_of(offer: Offer) -> list[OfferAlternative]:
    return list(offer.alternatives.order_by("position"))


def _content(given: dict[str, Any]) -> Content:
    content = Content(**given)
    days = content.valid_days
    if isinstance(days, bool) or not isinstance(days, int) or not 1 <= days <= LONGEST_VALID_D:
        raise Invalid("not days", field="valid_days", value=days, allowed=f"1 to {LONGEST_VALID_D}")
    pct = content.deposit_pct
    if not (pct.is_finite() and 0 <= pct <= 100 and pct == round(pct, 3)):
        raise Invalid("no share", field="deposit_pct", value=pct, allowed="0 to 100, up to 3 decimals")
    for n, one in enumerate(content.alternatives):
        _check_difference(n, one.difference)
    return content


def _check_difference(n: int, difference: Decimal | None) -> None:
    held = difference is not None and difference.is_finite() and abs(difference) <= MOST_DIFFERENCE
    if not held or difference != round(difference or Decimal(0), 2):
        raise Invalid(
            "not a difference in price", field=f"alternatives/{n}/difference", value=difference,
            allowed=f"-{MOST_DIFFERENCE} to {MOST_DIFFERENCE}, two decimals",
        )  # fmt: skip


def _append(
    tx: CommandTransaction,
    commission: Commission,
    kind: Offer.Kind,
    number: str,
    version: int,
    content: Content,
    basis: dict[str, Any],
) -> None:
    kept = [kept_line(n, line) for n, line in enumerate(content.lines)]
    _check_lines(commission, kind, content)
    category, rate = _tax_of(content)
    tx.append(
        "offer_drafted",
        f"commission:{commission.number}",
        {
            "offer": number,
            "version": version,
            "kind": kind,
            "commission": commission.number,
            "currency": currency_for_price(commission),
            "lines": kept,
            "alternatives": [
                {
                    "of": one.piece,
                    "what": SPECIES if one.species else FINISH,
                    "to": one.species or one.finish,
                    "description": store_private_text(one.description, field="description", longest=4000),
                    "difference": one.difference,
                    "tax_category": category,
                    "tax_pct": rate,
                }
                for one in content.alternatives
            ],
            **{n: store_private_text(getattr(content, n), field=n, longest=4000) for n in TEXTS},
            "valid_days": content.valid_days,
            "promise_on": content.promise_on,
            "deposit_pct": content.deposit_pct,
            "basis": basis,
        },
    )


def _check_lines(commission: Commission, kind: Offer.Kind, content: Content) -> None:
    count = len(content.lines)
    moves_date = kind == Kind.CHANGE and content.promise_on not in (None, commission.promise_on)
    if not (0 if moves_date else 1) <= count <= MOST_LINES:
        allowed = f"1 to {MOST_LINES}" + ("; none where only the date changes" if kind == Kind.CHANGE else "")
        raise Invalid("it needs lines", field="lines", value=count, allowed=allowed)
    if kind == Kind.CHANGE and not content.words.strip():
        raise Invalid("say what changes and why", field="words", value="", allowed="a sentence")
    if kind == Kind.CHANGE and content.alternatives:
        raise Invalid("alternatives are a quote's", field="alternatives", value="", allowed="none")
    if count:
        refuse_below_nothing(_total(commission, kind, content))


def _total(commission: Commission, kind: Offer.Kind, content: Content) -> Sums:
    if kind == Kind.QUOTE:
        return sums_of_lines(content.lines)
    before = list(commission.price_lines.order_by("position"))
    return sums_of_lines([*before, *content.lines])


def refuse_below_nothing(sums: Sums) -> None:
    """A price is not below nothing. For other commands."""
    if sums.gross < 0 or sums.net < 0:
        raise Invalid("the price would be below nothing", field="lines", value=sums.net, allowed="0 or more")


def _tax_of(content: Content) -> tuple[str, Decimal]:
    """Alternatives are taxed as the first line."""
    first = content.lines[0] if content.lines else None
    return (first.tax_category, first.tax_pct) if first else ("S", Decimal(0))


def _proposed(commission: Commission, asked: Asked, units: Units) -> tuple[list[Line], dict[str, Any]]:
    """A line for each piece that has a price, and what it rests on."""
    pieces = list(commission.pieces.order_by("number").prefetch_related("stages"))
    texts, known = Texts(refs_of(pieces)), known_hours(pieces, asked)
    exempt = commission.client.exempt_ref is not None
    rate = Decimal(0) if exempt else Decimal(settings()["tax_pct"])
    category, lines, basis = "E" if exempt else "S", [], []
    for piece in pieces:
        cost = cost_of(piece.inputs, piece.computed, known[piece.number].hours)
        basis.append(basis_of(piece, known[piece.number], cost))
        words = words_for(piece, texts[piece.label_ref], units)
        price = cost.price if cost else Decimal("0.00")
        lines.append(Line(description=words, unit_price=price, tax_category=category, tax_pct=rate))
    return lines, {"pieces": basis}


def _figured(
    commission: Commission, alternatives: Sequence[Alternative], hours: Mapping[str, Decimal]
) -> list[Alternative]:
    """Alternatives with their words and differences, each figured anew; what was typed stays."""
    if len(alternatives) > MOST_ALTERNATIVES:
        raise Invalid(
            "too many", field="alternatives", value=len(alternatives), allowed=f"up to {MOST_ALTERNATIVES}"
        )
    pieces = {p.number: p for p in commission.pieces.prefetch_related("stages")}
    texts = Texts(refs_of(pieces.values()))
    wanted = [_piece(pieces, n, one) for n, one in enumerate(alternatives)]
    made = []
    for n, (piece, one) in enumerate(zip(wanted, alternatives, strict=True)):
        what, to = (SPECIES, one.species) if one.species else (FINISH, one.finish)
        with _named(f"alternatives/{n}"):
            other = price_alternative(
                piece, texts[piece.label_ref], what, to, hours.get(piece.number, Decimal(0))
            )
            told = one.difference
            difference = difference_or_refuse(other, what) if told is None else told
        made.append(
            Alternative(
                piece=piece.number,
                species=other.inputs["species"] if what == SPECIES else "",
                finish=to if what == FINISH else "",
                description=one.description.strip() or other.description,
                difference=difference,
            )
        )
    return made


@contextmanager
def _named(where: str) -> Iterator[None]:
    """What is refused within is told under the place where it was asked."""
    try:
        yield
    except (ShopError, CalcError) as refused:
        refused.field = f"{where}/{refused.field}"
        raise


def _piece(pieces: Mapping[str, Piece], n: int, one: Alternative) -> Piece:
    if one.piece not in pieces:
        raise Invalid(
            "no such piece", field=f"alternatives/{n}/piece", value=one.piece[:40],
            allowed=", ".join(sorted(pieces)) or "a piece of the commission",
        )  # fmt: skip
    if bool(one.species) == bool(one.finish):
        raise Invalid(
            "an alternative is one other species or one other finish", field=f"alternatives/{n}",
            value=f"{one.species} {one.finish}".strip(), allowed="species or finish",
        )  # fmt: skip
    return pieces[one.piece]
