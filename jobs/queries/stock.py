"""Boards as the doors show them."""

from collections.abc import Iterable
from typing import Any

from django.db.models import QuerySet, prefetch_related_objects

from calcs.lumber.lumber import board_feet
from jobs.log.private_texts import Texts, refs_of
from jobs.log.projections.boards import SIDES
from jobs.models import Board


def boards_of(*, step: str = "", piece: str = "") -> QuerySet[Board]:
    """Boards of one standing, or of one piece, or all."""
    given = {name: value for name, value in (("step", step), ("piece", piece)) if value}
    return Board.objects.filter(**given)


def board_views(boards: Iterable[Board], *, with_money: bool) -> list[dict[str, Any]]:
    """Boards with their moisture readings, oldest first; without money no price."""
    boards = list(boards)
    prefetch_related_objects(boards, "readings")
    texts = Texts(refs_of(boards))
    return [{**_view(board, texts), **(_price(board) if with_money else {})} for board in boards]


def _view(board: Board, texts: Texts) -> dict[str, Any]:
    sides = {side: getattr(board, side) for side in SIDES}
    return {
        "number": board.number,
        "species": board.species,
        **sides,
        "board_feet": board_feet(**sides),
        "step": board.step,
        "piece": board.piece,
        "cut_from": board.cut_from,
        "note": texts[board.note_ref],
        "reason": texts[board.reason_ref],
        "moisture": [
            {"id": r.id, "pct": r.pct, "at": r.at, "depth_len": r.depth_len, "voided": r.voided}
            for r in board.readings.all()
        ],
        "moisture_pct": next((r.pct for r in reversed(board.readings.all()) if not r.voided), None),
        "added_at": board.added_at,
        "version": board.version,
    }


def _price(board: Board) -> dict[str, Any]:
    return {"price": board.price, "currency": board.currency}
