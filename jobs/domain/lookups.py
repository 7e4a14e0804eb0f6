"""Find one row by its name, or refuse, naming what was asked for."""

from collections.abc import Collection
from typing import TypeVar

from django.db.models import Model, QuerySet

from jobs.core.command_cache import is_command, read_once
from jobs.core.errors import NotFound
from jobs.log.projections import rows
from jobs.models import (
    Board,
    Client,
    Commission,
    Cost,
    Equipment,
    Invoice,
    Note,
    Offer,
    OfferAlternative,
    OfferLine,
    Paper,
    Payment,
    Piece,
    PriceLine,
    SafetyTask,
    Stage,
    Supply,
    Wait,
)

M = TypeVar("M", bound=Model)


def existing(found: QuerySet[M], field: str, key: object, says: str = "") -> M:
    """Return the first row found; refuse the key that was asked for where there is none."""
    row = found.first()
    if row is None:
        raise NotFound(says or f"there is no such {field}", field=field, value=key)
    return row


def _one(found: QuerySet[M], field: str, value: object) -> M:
    rows.write_commissions()
    return existing(found, field, str(value)[:80])


def client(key: int) -> Client:
    return _one(Client.objects.filter(id=key), "client", key)


def commission(number: str) -> Commission:
    found = _one(
        Commission.objects.select_related("client", "risk").filter(number=number), "commission", number
    )
    rows.know(found)
    return found


def commissions(numbers: Collection[str]) -> list[Commission]:
    """Return commissions by their numbers, from memory where held."""
    known = {number: found[0] for number in numbers if (found := rows.commissions(number))}
    others = Commission.objects.filter(number__in=set(numbers) - known.keys())
    return [*known.values(), *others]


def piece(number: str) -> Piece:
    """Return a piece: the one that the command holds, else the stored one."""
    if known := rows.held(number):
        return known.piece
    return _one(Piece.objects.select_related("commission").filter(number=number), "piece", number)


def stage(piece_number: str, key: str) -> Stage:
    """Return a stage; within a command the one on the route in hand."""
    if is_command() or rows.held(piece_number):
        return _of_route(piece_number, key)
    found = Stage.objects.select_related("piece__commission__client")
    found = found.filter(piece__number=piece_number, key=key)
    return _one(found, "stage", f"{piece_number}/{key}")


def _of_route(piece_number: str, key: str) -> Stage:
    known = rows.held(piece_number)
    if known is None:
        pieces = Piece.objects.select_related("commission__client").filter(number=piece_number)
        known = rows.lay([_one(pieces, "stage", f"{piece_number}/{key}")])[0]
    found = known.stage(key)
    if found is None:
        raise NotFound("there is no such stage", field="stage", value=f"{piece_number}/{key}"[:80])
    return found


def wait(key: int) -> Wait:
    return _one(Wait.objects.select_related("stage__piece__commission").filter(id=key), "wait", key)


def safety_task(key: int) -> SafetyTask:
    return _one(SafetyTask.objects.select_related("piece__commission").filter(id=key), "task", key)


def paper(number: str) -> Paper:
    return _one(
        Paper.objects.select_related("commission", "client", "invoice").filter(number=number), "paper", number
    )


def payment(key: int) -> Payment:
    return _one(Payment.objects.select_related("commission").filter(id=key), "payment", key)


def cost(key: int) -> Cost:
    return _one(Cost.objects.select_related("commission__client").filter(id=key), "cost", key)


def offer(number: str, version: int | None = None) -> Offer:
    """Return a version of a quote or change order, the newest where none is named."""
    found = [one for one in versions(number) if version in (None, one.version)]
    if not found:
        field, value = ("offer", number) if version is None else ("version", version)
        raise NotFound(f"there is no such {field}", field=field, value=str(value)[:80])
    return found[-1]


@read_once(
    *("offer_drafted", "offer_dropped", "offer_issued", "offer_declined", "offer_expired"),
    *("paper_rendered", "client_changed", "client_forgotten", "client_hold_ended"),
)
def versions(number: str) -> list[Offer]:
    """Return every version of a quote or change order, oldest first, with one row of its commission."""
    rows.write_commissions()
    query = Offer.objects.select_related("commission__client", "paper").filter(number=number)
    found = list(query.order_by("version"))
    for one in found:
        one.commission = found[0].commission
        rows.know_offer(one)
    for one in found[:1]:
        rows.know(one.commission)
    return found


@read_once("offer_drafted", "offer_dropped")
def offer_lines(offer: Offer) -> list[OfferLine]:
    """Return the lines of a version in order."""
    return list(offer.lines.order_by("position"))


@read_once("offer_drafted", "offer_dropped")
def offer_alternatives(offer: Offer) -> list[OfferAlternative]:
    """Return the alternatives of a version in order."""
    return list(offer.alternatives.order_by("position"))


@read_once(*("offer_issued", "offer_accepted", "acceptance_taken_back", "client_forgotten"))
def accepted_offers(commission: Commission) -> list[Offer]:
    """Return the accepted versions of a commission's offers with their papers, oldest first."""
    found = commission.offers.filter(step=Offer.Step.ACCEPTED)
    return list(found.select_related("paper").order_by("id"))


@read_once("price_set")
def price_lines(commission: Commission) -> list[PriceLine]:
    """Return the lines of a commission's price; empty before a price is set."""
    return list(commission.price_lines.order_by("position"))


@read_once("paper_issued", "paper_withdrawn", "paper_rendered", "client_forgotten", "client_hold_ended")
def documents(commission: Commission) -> list[Invoice]:
    """Return all invoices and credit notes of a commission, oldest first, with their papers."""
    issued = Invoice.objects.filter(paper__commission=commission, paper__kind__in=Paper.SUMMED)
    return list(issued.select_related("paper").order_by("id"))


def invoices(commission: Commission) -> list[Invoice]:
    """Return the valid invoices of a commission, oldest first, with their papers."""
    return [one for one in documents(commission) if one.paper.asks_for_money]


@read_once("payment_received", "payment_voided")
def payments(commission: Commission) -> list[Payment]:
    """Return the valid payments of a commission, in the order received."""
    return list(commission.payments.filter(voided_at=None).order_by("received_on", "id"))


@read_once("piece_added", "piece_changed", "piece_removed", "stage_redone", "route_changed")
def pieces(commission: Commission) -> list[Piece]:
    """Return the pieces of a commission in order."""
    return list(commission.pieces.order_by("number"))


def board(number: int) -> Board:
    return _one(Board.objects.filter(number=number), "board", number)


def supply(key: int) -> Supply:
    return _one(Supply.objects.filter(id=key), "supply", key)


def equipment(key: int) -> Equipment:
    return _one(Equipment.objects.filter(id=key), "equipment", key)


def note(key: int) -> Note:
    return _one(Note.objects.filter(id=key), "note", key)


def short_number(number: str) -> str:
    """Return a commission's or piece's number as one says it: "003" of "2026-003-1"."""
    parts = number.split("-")
    return parts[1] if len(parts) > 1 else number
