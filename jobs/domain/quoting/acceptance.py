"""Commands that accept or decline an offer, by the client or by the owner on the client's word."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from calcs.money.invoice import Sums
from jobs.core.errors import AlreadyDone, Declined, Expired, Forbidden, Invalid, NotYet, Revised, WrongState
from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.billing.deposits import asked_by, deposit_of, sums_of_lines
from jobs.domain.billing.invoice_commands import ask_deposit
from jobs.domain.billing.prices import Line, line_of, put_price
from jobs.domain.billing.taxes import ZERO
from jobs.domain.checks import about, one_of
from jobs.domain.commissions.commissions import promise
from jobs.domain.commissions.piece_commands import change_in, own_stages
from jobs.domain.lifecycle import move
from jobs.domain.notes.pictures import shrunk_picture
from jobs.domain.papers.letterhead import currency_for_price
from jobs.domain.pieces.calculations import compute
from jobs.domain.pieces.inputs import read_inputs
from jobs.domain.quoting.accepted import HOWS, ON_THEIR_PAGE, keep_copy
from jobs.domain.quoting.draft_content import refuse_negative
from jobs.domain.quoting.losses import end_enquiry, expire, note_loss
from jobs.domain.quoting.offer_content import agreed_lines, difference, offer_content
from jobs.domain.quoting.proposals import FINISH, WHATS
from jobs.domain.quoting.quotes import refuse_if_not_open_to
from jobs.domain.quoting.sending import confirm
from jobs.domain.settings import profile
from jobs.domain.waits.waits import start_passive_stages
from jobs.log.commands import CommandContext, CommandResult, CommandTransaction, command, replayed_result
from jobs.log.private_texts import Texts, read, refs_of, store_private_text
from jobs.models import Commission, Offer, OfferAlternative

Step, Kind = Offer.Step, Offer.Kind
LONGEST_NAME = 200
CLIENT = "client:"
"""Prefix of an actor who is a client: ``client:17``."""


@dataclass(frozen=True, kw_only=True)
class Refit:
    """A piece recalculated for the chosen alternatives."""

    piece: str
    revision: int
    inputs: dict[str, Any]
    computed: dict[str, Any]


def accept_offer(
    call: CommandContext, *, offer: str, version: int, chosen: Sequence[int] = (), name: str = "",
    how: str = "", picture: bytes | None = None,
) -> CommandResult:  # fmt: skip
    """Accept the version that was shown, with the alternatives chosen by their positions.

    The owner accepts on the client's word, or the client does (actor ``client:<id>``), who types a name. The
    same command sets the agreed price, promise and pieces. After a quote it also accepts the commission and
    issues its deposit invoice. ``how`` is one of ``HOWS``, told in words unless said; a client's yes is from
    their page. ``picture`` shows the signed copy. What was shown is kept with the yes: the hash of its PDF,
    total and deposit.

    Raises
    ------
    Revised
        A newer version is issued; ``extra["difference"]`` says what is otherwise.
    Expired, Declined, AlreadyDone
    """
    if earlier := replayed_result(call):
        return earlier
    shown, of_client = lookups.offer(offer, version), call.by.startswith(CLIENT)
    if not of_client:
        one_of(how or HOWS[0], HOWS, field="how")
    copy = shrunk_picture(picture) if picture else None
    _put_down_expiry(call, shown)
    picked = _picked(shown, chosen)
    refits = [_refit(piece, ones) for piece, ones in _by_piece(picked).items()]
    return _accept(
        call, offer=offer, version=version, chosen=list(chosen), name=name, refits=refits,
        how=ON_THEIR_PAGE if of_client else how or HOWS[0], copy=copy,
    )  # fmt: skip


def decline_offer(
    call: CommandContext, *, offer: str, version: int, reason: str = "", because: str = ""
) -> CommandResult:
    """Decline the version that was shown, with or without a reason; a quote's commission is declined.

    The owner may revise it, or take the decline back. ``because`` is the reason as it is counted.
    """
    if earlier := replayed_result(call):
        return earlier
    _put_down_expiry(call, lookups.offer(offer, version))
    return _decline(call, offer=offer, version=version, reason=reason, because=because)


def _put_down_expiry(call: CommandContext, shown: Offer) -> None:
    """Append the expiry of a version whose last day has passed; the answer is then refused."""
    if shown.is_over(call.day):
        refuse_unless_theirs(call.by, shown.commission)
        _expire(CommandContext(by=call.by, at=call.at, now=call.now), offer=shown.number)


@command
def _expire(tx: CommandTransaction, *, offer: str) -> None:
    expire(tx, offer, tx.call.day)


@command
def _accept(
    tx: CommandTransaction, *, offer: str, version: int, chosen: list[int], name: str, refits: list[Refit],
    how: str, copy: bytes | None,
) -> None:  # fmt: skip
    found = _open(tx, offer, version)
    commission, kind = found.commission, Kind(found.kind)
    refuse_if_not_open_to(commission, kind)
    if tx.call.by.startswith(CLIENT) and not name.strip():
        raise Invalid("type your name", field="name", value=name, allowed="your name")
    if currency_for_price(commission) != found.currency:
        says = f"is in {found.currency}, the commission now in {currency_for_price(commission)}"
        raise about(found, says, allowed="a new version of it")
    _refuse_if_price_moved(found)
    lines = _lines(found, _picked(found, chosen))
    sums = sums_of_lines(lines) if lines else None
    if sums:
        refuse_negative(sums)
    tx.append(
        "offer_accepted",
        f"commission:{commission.number}",
        {
            "offer": offer,
            "version": version,
            "chosen": sorted(chosen),
            "name": store_private_text(name, field="name", longest=LONGEST_NAME, one_line=True),
            "how": how,
            "shown_sha256": found.paper.file_sha256 if found.paper else "",
            "agreed_total": sums.gross if sums else ZERO,
            "agreed_deposit": deposit_of(sums, asked_by(found)) if sums else ZERO,
        },
    )
    if copy:
        keep_copy(tx, found, copy)
    if tx.call.by.startswith(CLIENT):
        tx.tell_now()
    for refit in refits:
        _apply(tx, refit)
    if kind == Kind.QUOTE or lookups.offer_lines(found):
        put_price(tx, commission, lines)
    if found.promise_on is not None:
        promise(tx, commission, found.promise_on)
    if kind == Kind.QUOTE:
        _order(tx, commission, found, sums)
    confirm(tx, found)


def _order(tx: CommandTransaction, commission: Commission, quote: Offer, price: Sums | None) -> None:
    """Accept the commission, issue its deposit invoice and start passive stages that waited for it."""
    move(tx, commission, Commission.Step.ACCEPTED)
    ask = asked_by(quote)
    if ask and price and price.gross:
        ask_deposit(tx, commission, ask=ask, whole=price)
    for piece in lookups.pieces(commission):
        start_passive_stages(tx, piece)


@command
def _decline(tx: CommandTransaction, *, offer: str, version: int, reason: str, because: str) -> None:
    found = _open(tx, offer, version)
    tx.append(
        "offer_declined",
        f"commission:{found.commission.number}",
        {
            "offer": offer,
            "version": version,
            "reason": store_private_text(reason, field="reason", longest=4000),
        },
    )
    if because:
        note_loss(tx, found, because=because)
    end_enquiry(tx, found, reason)
    if tx.call.by.startswith(CLIENT):
        tx.tell_now()


def _open(tx: CommandTransaction, offer: str, version: int) -> Offer:
    """Return the version that was shown, its expiry put down; refuse if this actor cannot answer it now."""
    found = lookups.offer(offer, version)
    refuse_unless_theirs(tx.call.by, found.commission)
    tx.require_owner("the client's answer")
    tx.check_version(found.commission.version, what=f"commission {found.commission.number}")
    issued = [one for one in lookups.versions(offer) if one.step != Step.DRAFT]
    newest = issued[-1] if issued else None
    if newest is None or version > newest.version:
        raise NotYet(f"{offer} is not issued yet", field="version", value=version, allowed="issue it first")
    if version != newest.version:
        raise Revised(
            f"{offer} was revised: version {newest.version} is the newest, version {version} was shown",
            field="version",
            value=version,
            allowed=str(newest.version),
            extra={"difference": difference(found, newest)},
        )
    _refuse_if_answered(found)
    return found


def _refuse_if_answered(offer: Offer) -> None:
    if offer.step == Step.ACCEPTED:
        raise about(offer, "is accepted already", allowed="an open offer", error=AlreadyDone)
    if offer.step == Step.DECLINED:
        raise about(offer, "was declined", allowed="a new version of it", error=Declined)
    if offer.step == Step.EXPIRED:
        raise about(offer, f"held until {offer.valid_until}", allowed="a new version of it", error=Expired)


def refuse_unless_theirs(by: str, commission: Commission) -> None:
    """Refuse a client who did not order this commission. Called by other commands."""
    if by.startswith(CLIENT) and by != f"{CLIENT}{commission.client_id}":
        raise Forbidden("this is another client's", field="by", value=by, allowed="the client who ordered")


def _picked(offer: Offer, chosen: Sequence[int]) -> list[OfferAlternative]:
    """Return the chosen alternatives; refuse two that exclude one another."""
    known = {a.position: a for a in lookups.offer_alternatives(offer)} if chosen else {}
    for position in chosen:
        if position not in known:
            allowed = ", ".join(map(str, known)) or "none: there are no alternatives"
            raise Invalid("no such alternative", field="chosen", value=position, allowed=allowed)
    picked = [known[position] for position in sorted(set(chosen))]
    if len({(a.piece, a.what if a.piece else a.position) for a in picked}) != len(chosen):
        says, allowed = "these exclude one another", "one species and one finish for each piece"
        raise Invalid(says, field="chosen", value=", ".join(map(str, chosen)), allowed=allowed)
    return picked


def _refuse_if_price_moved(offer: Offer) -> None:
    """Refuse a change order whose price before it is no longer the agreed price."""
    if offer.kind != Kind.CHANGE or not lookups.offer_lines(offer):
        return
    told = offer_content(offer)["total_before"]
    price = lookups.price_lines(offer.commission)
    now = sums_of_lines(price).gross if price else Decimal("0.00")
    if told is not None and now != told:
        says = f"the agreed price was {told} {offer.currency} when {offer.number} was issued and is now {now}"
        raise WrongState(says, field="offer", value=offer.number, allowed="a new version of it")


def _by_piece(picked: list[OfferAlternative]) -> dict[str, list[OfferAlternative]]:
    pieces: dict[str, list[OfferAlternative]] = {}
    for one in picked:
        if one.piece:
            pieces.setdefault(one.piece, []).append(one)
    return pieces


def _refit(number: str, chosen: list[OfferAlternative]) -> Refit:
    """Recalculate a piece as chosen, before the log is locked."""
    piece = lookups.piece(number)
    asked = {WHATS[one.what]: one.to for one in chosen}
    same = piece.inputs["finish_under"] == piece.inputs["finish_face"]
    if WHATS[FINISH] in asked and same:
        asked["finish_under"] = asked[WHATS[FINISH]]
    inputs = read_inputs(asked, Units(), piece.inputs)
    return Refit(piece=number, revision=piece.revision, inputs=inputs, computed=compute(inputs, piece))


def _apply(tx: CommandTransaction, refit: Refit) -> None:
    piece = lookups.piece(refit.piece)
    if piece.revision != refit.revision:
        raise about(piece, "was changed at the same moment", allowed="try again")
    change_in(
        tx, piece, label=read(piece.label_ref), inputs=refit.inputs, computed=refit.computed,
        own=own_stages(piece),
    )  # fmt: skip


def _lines(offer: Offer, picked: list[OfferAlternative]) -> list[Line]:
    """Return the lines of the agreed price; a change order adds its lines to the present ones."""
    before = lookups.price_lines(offer.commission) if offer.kind == Kind.CHANGE else []
    texts = Texts(refs_of([*before, *said_together(offer)]))
    return [*(line_of(line, texts) for line in before), *agreed_lines(offer, picked)]


def said_together(offer: Offer) -> list[Any]:
    """Return the rows whose texts an acceptance needs, so that one query reads them all."""
    commission = offer.commission
    rows = [commission, commission.client, profile(), offer.paper]
    return [*filter(None, rows), *lookups.offer_lines(offer), *lookups.pieces(commission)]
