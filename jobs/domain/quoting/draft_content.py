"""Content of a draft quote or change order: read, checked and added up; and the draft found, or dropped."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from calcs.money.invoice import Sums
from jobs.core.errors import Invalid, WrongState
from jobs.domain import lookups
from jobs.domain.billing.deposits import sums_of_lines
from jobs.domain.billing.prices import MOST_LINES, Line, line_of, refuse_mixed
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Commission, Offer

Kind = Offer.Kind

MOST_ALTERNATIVES, LONGEST_VALID_D = 40, 365
MOST_DIFFERENCE = Decimal(10_000_000)


@dataclass(frozen=True, kw_only=True)
class Alternative:
    """A piece in another species or with another finish, or an option in words alone.

    Description and difference of a piece can be calculated; those of an option are typed.
    """

    piece: str = ""
    species: str = ""
    finish: str = ""
    description: str = ""
    difference: Decimal | None = None


@dataclass(frozen=True, kw_only=True)
class Content:
    """The content of one version."""

    lines: tuple[Line, ...]
    alternatives: tuple[Alternative, ...] = ()
    words: str = ""
    terms: str = ""
    included: str = ""
    excluded: str = ""
    valid_days: int
    promise_on: date | None = None
    deposit_pct: Decimal = Decimal(0)
    deposit_sum: Decimal | None = None


def content_of(offer: Offer) -> Content:
    """Return the content of a stored version, to revise it or carry it out."""
    lines, alternatives = lookups.offer_lines(offer), lookups.offer_alternatives(offer)
    texts = Texts(refs_of([offer, *lines, *alternatives]))
    return Content(
        lines=tuple(line_of(line, texts) for line in lines),
        alternatives=tuple(
            Alternative(
                piece=a.piece,
                **({a.what: a.to} if a.piece else {}),
                description=texts[a.description_ref],
                difference=a.difference,
            )
            for a in alternatives
        ),
        words=texts[offer.words_ref],
        terms=texts[offer.terms_ref],
        included=texts[offer.included_ref],
        excluded=texts[offer.excluded_ref],
        valid_days=offer.valid_days,
        promise_on=offer.promise_on,
        deposit_pct=offer.deposit_pct,
        deposit_sum=offer.deposit_sum,
    )


def read_content(given: dict[str, Any]) -> Content:
    content = Content(**given)
    days = content.valid_days
    if isinstance(days, bool) or not isinstance(days, int) or not 1 <= days <= LONGEST_VALID_D:
        raise Invalid(
            "not a number of days", field="valid_days", value=days, allowed=f"1 to {LONGEST_VALID_D}"
        )
    pct = content.deposit_pct
    if not (pct.is_finite() and 0 <= pct <= 100 and pct == round(pct, 3)):
        raise Invalid(
            "not a share of the price", field="deposit_pct", value=pct, allowed="0 to 100, up to 3 decimals"
        )
    if content.deposit_sum is not None:
        _check_sum(content, content.deposit_sum)
    for n, one in enumerate(content.alternatives):
        _check_difference(n, one.difference)
    return content


def _check_sum(content: Content, asked: Decimal) -> None:
    """Refuse a deposit that is a share too, or no part of the price."""
    if content.deposit_pct:
        says, allowed = "a sum or a share of the price, not both", "one of them"
        raise Invalid(says, field="deposit_sum", value=asked, allowed=allowed)
    whole = sums_of_lines(content.lines).gross if content.lines else Decimal(0)
    if not (asked.is_finite() and 0 < asked <= whole and asked == round(asked, 2)):
        allowed = f"0.01 to {whole}, the price with tax; two decimals"
        raise Invalid("not a part of the price", field="deposit_sum", value=asked, allowed=allowed)


def one_deposit(given: dict[str, Any]) -> dict[str, Any]:
    """Return changes in which a deposit as a sum takes the place of a share, and a share that of a sum."""
    if given.get("deposit_sum") is not None:
        return {"deposit_pct": Decimal(0), **given}
    return {**given, "deposit_sum": None} if "deposit_pct" in given else given


def _check_difference(n: int, difference: Decimal | None) -> None:
    held = difference is not None and difference.is_finite() and abs(difference) <= MOST_DIFFERENCE
    if not held or difference != round(difference or Decimal(0), 2):
        allowed = f"-{MOST_DIFFERENCE} to {MOST_DIFFERENCE}, two decimals"
        field = f"alternatives/{n}/difference"
        raise Invalid("not a difference in price", field=field, value=difference, allowed=allowed)


def check_lines(commission: Commission, kind: Offer.Kind, content: Content) -> None:
    count = len(content.lines)
    moves_date = kind == Kind.CHANGE and content.promise_on not in (None, commission.promise_on)
    if not (0 if moves_date else 1) <= count <= MOST_LINES:
        allowed = f"1 to {MOST_LINES}" + ("; none where only the date changes" if kind == Kind.CHANGE else "")
        raise Invalid(f"it cannot have {count} lines", field="lines", value=count, allowed=allowed)
    if kind == Kind.CHANGE and not content.words.strip():
        raise Invalid("say what changes and why", field="words", value="", allowed="a sentence")
    if kind == Kind.CHANGE and content.alternatives:
        raise Invalid("alternatives are a quote's", field="alternatives", value="", allowed="none")
    refuse_mixed(content.lines, after=lookups.price_lines(commission) if kind == Kind.CHANGE else ())
    if count:
        refuse_negative(_total(commission, kind, content))


def _total(commission: Commission, kind: Offer.Kind, content: Content) -> Sums:
    if kind == Kind.QUOTE:
        return sums_of_lines(content.lines)
    before = lookups.price_lines(commission)
    return sums_of_lines([*before, *content.lines])


def refuse_negative(sums: Sums) -> None:
    """Refuse a negative price. Called by other commands."""
    if sums.gross < 0 or sums.net < 0:
        raise Invalid("the price would be negative", field="lines", value=sums.net, allowed="0 or more")


def tax_of(content: Content) -> tuple[str, Decimal, bool]:
    """Return tax category and rate of the alternatives, and whether it is inside: those of the first line."""
    first = content.lines[0] if content.lines else None
    return (first.tax_category, first.tax_pct, first.with_tax) if first else ("S", Decimal(0), False)


@command
def drop_draft(tx: CommandTransaction, *, offer: str) -> None:
    """Drop the drafted version. An issued version stays valid."""
    found = the_draft(tx, offer)
    stream = f"commission:{found.commission.number}"
    tx.append("offer_dropped", stream, {"offer": offer, "version": found.version})


def the_draft(tx: CommandTransaction, offer: str, *, allowed: str = "a draft") -> Offer:
    """Return the drafted version; refuse makers and a stale version of its commission."""
    tx.require_owner("a quote")
    found = lookups.offer(offer)
    tx.check_version(found.commission.version, what=f"commission {found.commission.number}")
    if found.step != Offer.Step.DRAFT:
        says = f"version {found.version} of {offer} is {found.step}"
        raise WrongState(says, field="offer", value=offer, allowed=allowed)
    return found
