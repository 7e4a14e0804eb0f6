"""Find one row by its name, or refuse, naming what was asked for."""

from typing import TypeVar

from django.db.models import Model, QuerySet

from jobs.core.command_cache import is_command
from jobs.core.errors import NotFound
from jobs.log.projections import rows
from jobs.models import (
    Board,
    Client,
    Commission,
    Equipment,
    Note,
    Offer,
    Paper,
    Payment,
    Piece,
    SafetyTask,
    Stage,
    Supply,
    Wait,
)

M = TypeVar("M", bound=Model)


def _one(found: QuerySet[M], field: str, value: object) -> M:
    row = found.first()
    if row is None:
        raise NotFound(f"there is no such {field}", field=field, value=str(value)[:80])
    return row


def client(key: int) -> Client:
    return _one(Client.objects.filter(id=key), "client", key)


def commission(number: str) -> Commission:
    return _one(Commission.objects.select_related("client").filter(number=number), "commission", number)


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


def offer(number: str, version: int | None = None) -> Offer:
    """Return a version of a quote or change order, the newest where none is named."""
    found = Offer.objects.select_related("commission__client", "paper").filter(number=number)
    if version is not None:
        return _one(found.filter(version=version), "version", version)
    return _one(found.order_by("-version"), "offer", number)


def board(number: int) -> Board:
    return _one(Board.objects.filter(number=number), "board", number)


def supply(key: int) -> Supply:
    return _one(Supply.objects.filter(id=key), "supply", key)


def equipment(key: int) -> Equipment:
    return _one(Equipment.objects.filter(id=key), "equipment", key)


def note(key: int) -> Note:
    return _one(Note.objects.filter(id=key), "note", key)
