"""Commands on quotes and change orders: draft, revise, issue.

Proposals are calculated before the log is locked.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from jobs.core.errors import AlreadyDone
from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.billing.balances import summary_of
from jobs.domain.billing.prices import Line, UsualTax, check_taxes, kept_line, usual_tax, warn_of_certificate
from jobs.domain.billing.taxes import reasoned
from jobs.domain.checks import about, refuse_if_ended
from jobs.domain.commissions.commissions import refuse_past_promise
from jobs.domain.lifecycle import move
from jobs.domain.papers.issuing import issue_paper
from jobs.domain.papers.kinds import paper_kind
from jobs.domain.papers.letterhead import currency_for_price, heading
from jobs.domain.quoting.draft_content import (
    Alternative,
    Content,
    Kind,
    check_lines,
    content_of,
    one_deposit,
    read_content,
    tax_of,
    the_draft,
)
from jobs.domain.quoting.draft_prices import priced_alternatives, proposed_lines
from jobs.domain.quoting.losses import expire, take_up
from jobs.domain.quoting.proposals import FINISH, OPTION, SPECIES, Asked
from jobs.domain.quoting.quote_hours import asked_hours, hints, refuse_unpriced_hours
from jobs.domain.quoting.quoted_pieces import paper_content
from jobs.domain.settings import settings
from jobs.log.commands import CommandContext, CommandResult, CommandTransaction, command, replayed_result
from jobs.log.private_texts import store_private_text
from jobs.models import Commission, Offer

Step = Offer.Step
TEXTS = ("words", "terms", "included", "excluded")


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
    """Draft the first version of a quote; without lines it proposes one for each piece.

    The draft keeps the basis of a proposal. A proposal refuses hours while the shop has no hourly rate;
    beside typed lines the hours are kept. ``hours`` are hours of work by piece, ``minutes`` are by piece and
    kind of stage. Pieces in ``own_hours`` take the shop's own rates for stages that were not typed. ``more``:
    words, terms, included, excluded, valid_days, promise_on, deposit_pct or deposit_sum.
    """
    if earlier := replayed_result(call):
        return earlier
    found = lookups.commission(commission)
    asked = asked_hours(found, hours or {}, minutes or {}, own_hours)
    if lines is None:
        refuse_unpriced_hours(asked)
    usual = usual_tax(found, call.day)
    proposed, basis = proposed_lines(found, asked, units or Units(), usual)
    hours = {told["piece"]: Decimal(told["hours"]) for told in basis["pieces"]}
    shop = settings()
    given = {
        "valid_days": shop["quote_valid_days"],
        "promise_on": found.promise_on,
        "deposit_pct": Decimal(shop["deposit_pct"]),
        **quoted_lists(shop),
        **one_deposit(more),
        "lines": tuple(proposed if lines is None else lines),
        "alternatives": tuple(priced_alternatives(found, alternatives, hours, usual)),
    }
    return _draft(
        call, commission=commission, kind=Kind.QUOTE, content=read_content(given), basis=basis,
        hints=hints(found, asked) if lines is None else [],
    )  # fmt: skip


def draft_change_order(
    call: CommandContext, *, commission: str, words: str, lines: Sequence[Line] = (), **more: Any
) -> CommandResult:
    """Draft the first version of a change order: what it adds or leaves out, and why."""
    given = {"valid_days": settings()["quote_valid_days"], **more, "words": words, "lines": tuple(lines)}
    return _draft(
        call, commission=commission, kind=Kind.CHANGE, content=read_content(given), basis={}, hints=[]
    )


def rewrite_offer(
    call: CommandContext,
    *,
    offer: str,
    alternatives: Sequence[Alternative] | None = None,
    asked: Asked | None = None,
    **changes: Any,
) -> CommandResult:
    """Revise the newest version; after an issued version, the revision begins the next one.

    ``changes``: lines, words, terms, included, excluded, valid_days, promise_on, deposit_pct or
    deposit_sum; fields not
    given stay. ``asked`` are other hours of a quote's pieces; its basis is calculated again with them.
    """
    if earlier := replayed_result(call):
        return earlier
    found = lookups.offer(offer)
    usual = usual_tax_of(found, call.day)
    basis = found.basis if asked is None else proposed_lines(found.commission, asked, Units(), usual)[1]
    if alternatives is not None:
        hours = {told["piece"]: Decimal(told["hours"]) for told in basis.get("pieces", [])}
        changes["alternatives"] = tuple(priced_alternatives(found.commission, alternatives, hours, usual))
    if "lines" in changes:
        changes["lines"] = tuple(changes["lines"])
    return _rewrite(call, offer=offer, version=found.version, changes=changes, basis=basis)


def quoted_lists(shop: Mapping[str, Any]) -> dict[str, str]:
    """Return what the shop's quotes include and leave out, a line each."""
    return {name: "\n".join(shop[f"quote_{name}"]) for name in ("included", "excluded")}


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
        says, allowed = f"there is quote {earlier[0].number}", "a new version of it"
        raise AlreadyDone(says, field="commission", value=commission, allowed=allowed)
    if unpriced := [p["piece"] for p in basis.get("pieces", []) if p["price"] is None]:
        tx.notices.append(f"the shop's settings have no rates for {', '.join(unpriced)}: no price proposed")
    tx.notices.extend(hints)
    letter = "Q" if kind == Kind.QUOTE else "X"
    count = len(set(earlier.values_list("number", flat=True))) + 1
    _append(tx, found, kind, f"{commission}-{letter}{count}", 1, content, basis)


@command
def _rewrite(
    tx: CommandTransaction, *, offer: str, version: int, changes: dict[str, Any], basis: dict[str, Any]
) -> None:
    tx.require_owner("a quote")
    found = lookups.offer(offer)
    commission = found.commission
    tx.check_version(commission.version, what=f"commission {commission.number}")
    if found.version != version:
        raise about(found, "was changed at the same moment", allowed="try again")
    if commission.step == Commission.Step.DECLINED and found.kind == Kind.QUOTE:
        take_up(tx, commission, reopen=False)
    refuse_if_not_open_to(commission, Kind(found.kind))
    if found.step == Step.ACCEPTED:
        raise about(found, "is accepted", allowed="a change order", error=AlreadyDone)
    content = read_content({**vars(content_of(found)), **one_deposit(changes)})
    following = version if found.step == Step.DRAFT else version + 1
    _append(tx, commission, Kind(found.kind), offer, following, content, basis)


@command
def issue_offer(tx: CommandTransaction, *, offer: str) -> None:
    """Issue the drafted version as a numbered paper; it supersedes the version before."""
    issue(tx, the_draft(tx, offer, allowed="a draft: revise it first"))


def issue(tx: CommandTransaction, found: Offer) -> None:
    """Issue a drafted version. Called by other commands."""
    offer, commission = found.number, found.commission
    kind = Kind(found.kind)
    refuse_if_not_open_to(commission, kind)
    if found.promise_on:
        refuse_past_promise(tx, found.promise_on)
    today = tx.call.day
    expire(tx, offer, today)
    valid_until = today + timedelta(days=found.valid_days)
    head, content = heading(commission), paper_content(found)
    check_taxes(tx, head, content["lines"])
    told = {
        "totals": reasoned(content["totals"], head), "valid_until": valid_until,
        "order": vars(summary_of(commission, today=today)),
    }  # fmt: skip
    stream = f"commission:{commission.number}"
    issue_paper(tx, kind, {**head, **content, **told}, stream=stream, commission=commission.number)
    paper = tx.events[-1].data["paper"]
    tx.append(
        "offer_issued",
        stream,
        {"offer": offer, "version": found.version, "valid_until": valid_until, "issued_as": paper},
    )
    if kind == Kind.QUOTE and commission.step == Commission.Step.ENQUIRY:
        move(tx, commission, Commission.Step.QUOTED)


def usual_tax_of(offer: Offer, day: date) -> UsualTax:
    """Return the tax of a new line of a version: typed as its lines are."""
    usual, lines = usual_tax(offer.commission, day), lookups.offer_lines(offer)
    return replace(usual, with_tax=lines[0].with_tax) if lines else usual


def refuse_if_not_open_to(commission: Commission, kind: Offer.Kind) -> None:
    """Refuse a quote after the order, and a change order before it or after the work.

    Called by other commands.
    """
    refuse_if_ended(commission)
    steps = paper_kind(kind).steps
    if commission.step not in steps:
        says = f"is {commission.step}: no {kind.label.lower()} for it"
        raise about(commission, says, allowed=f"commissions that are {', '.join(steps)}")


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
    check_lines(commission, kind, content)
    warn_of_certificate(tx, commission, content.lines)
    category, rate, with_tax = tax_of(content)
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
                    "what": SPECIES if one.species else FINISH if one.finish else OPTION,
                    "to": one.species or one.finish,
                    "description": store_private_text(one.description, field="description", longest=4000),
                    "difference": one.difference,
                    "tax_category": category,
                    "tax_pct": rate,
                    **({"with_tax": True} if with_tax else {}),
                }
                for one in content.alternatives
            ],
            **{n: store_private_text(getattr(content, n), field=n, longest=4000) for n in TEXTS},
            "valid_days": content.valid_days,
            "promise_on": content.promise_on,
            "deposit_pct": content.deposit_pct,
            "deposit_sum": content.deposit_sum,
            "basis": basis,
        },
    )
