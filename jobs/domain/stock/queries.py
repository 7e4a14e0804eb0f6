"""Views of boards and supplies."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from django.db.models import QuerySet, prefetch_related_objects
from django.utils import timezone

from calcs.lumber.board_footage import board_feet
from jobs.domain.stock.shelf_life import best_before, lot_warnings, shelf_life
from jobs.log.private_texts import Texts, refs_of
from jobs.log.projections.stock.boards import SIDES
from jobs.models import Board, Piece, Supply


def boards_of(*, step: str = "", piece: str = "") -> QuerySet[Board]:
    """Return the boards at one step, or of one piece, or all."""
    given = {name: value for name, value in (("step", step), ("piece", piece)) if value}
    return Board.objects.filter(**given)


def board_views(boards: Iterable[Board], *, with_money: bool) -> list[dict[str, Any]]:
    """Return boards with their moisture readings, in the order given; without money, without prices."""
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


def supply_views(supplies: Iterable[Supply], *, today: date) -> list[dict[str, Any]]:
    """Return supplies with the day each is best before."""
    supplies = list(supplies)
    texts = Texts(refs_of(supplies))
    found = []
    for supply in supplies:
        last = best_before(supply)
        found.append(
            {
                "id": supply.id,
                "kind": supply.kind,
                "name": texts[supply.name_ref],
                "sheet": supply.sheet,
                "lot": supply.lot,
                "got_on": supply.got_on,
                "opened_on": supply.opened_on,
                "shelf_life_d": shelf_life(supply),
                "use_by": supply.use_by,
                "best_before": last,
                "is_past": last is not None and last < today,
                "level": supply.level,
                "discarded_at": supply.discarded_at,
                "reason": texts[supply.reason_ref],
                "version": supply.version,
            }
        )
    return found


def glue_notes(piece: Piece, stage: dict[str, Any], *, today: date) -> dict[str, list[str]]:
    """Return the lots on the shelf and their defects, for a stage that records a glue lot.

    ``stage`` is the stage's view. Once a lot is recorded, only that lot is judged, on the day of its use.
    """
    if not any(g["key"] == "glue_lot" for g in stage["gates"]):
        return {"shelf": [], "wrong": []}
    if lot := stage["measured"].get("glue_lot"):
        day = timezone.localdate(stage["finished_at"]) if stage["finished_at"] else today
        return {"shelf": [], "wrong": lot_warnings(lot["code"], day)}
    on_shelf = Supply.objects.filter(
        kind=Supply.Kind.GLUE, sheet=piece.inputs.get("glue") or "", discarded_at=None
    )
    views = supply_views(on_shelf, today=today)
    if not views:
        return {"shelf": [], "wrong": ["no container of this glue stands among the supplies"]}
    return {
        "shelf": [_told(v) for v in views if not v["is_past"]],
        "wrong": [f"past its date: {_told(v)}" for v in views if v["is_past"]],
    }


def _told(view: dict[str, Any]) -> str:
    lot = f"lot {view['lot']}" if view["lot"] else "no lot written down"
    last = f"best before {view['best_before']}" if view["best_before"] else "best before: see the pack"
    return f"{view['name']}, {lot}, {last}, {view['level']}"
