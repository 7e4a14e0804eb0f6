"""What boards cost the pieces that they went into: whole boards, less the share of the offcuts they left."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from decimal import Decimal

from calcs.kit.rounding import places
from jobs.domain.stock.boards import volume_of
from jobs.models import Board

COLUMNS = (
    "number", "species", "price", "currency", "cut_from", "step", "piece", "thickness_len", "width_len",
    "length_len",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class BoardCost:
    """A board at a piece; ``amount`` is None without a price, ``left`` is what its offcuts are worth."""

    board: int
    species: str
    piece: str
    amount: Decimal | None
    left: Decimal
    currency: str
    is_used: bool


def board_costs(pieces: Collection[str]) -> list[BoardCost]:
    """Return the boards reserved for these pieces or used by them, by number.

    An offcut is worth its own price, else its share of its board by volume. What is still to be had of a
    board is not charged to the piece that it was cut for; an offcut that was written off is.
    """
    taken = list(
        Board.objects.filter(piece__in=pieces, step__in=(Board.Step.RESERVED, Board.Step.USED)).only(*COLUMNS)
    )
    known = {board.number: board for board in taken}
    offcuts: dict[int, list[Board]] = defaultdict(list)
    for cut in Board.objects.filter(cut_from__in=known).only(*COLUMNS):
        offcuts[cut.cut_from or 0].append(cut)
    _add_parents(known)
    worths = _Worths(known)
    return [_cost(board, worths, offcuts[board.number]) for board in sorted(taken, key=lambda b: b.number)]


def _add_parents(known: dict[int, Board]) -> None:
    """Add the boards that offcuts without a price of their own were cut from, and theirs."""
    while missing := _parents_of(known.values()) - known.keys():
        found = {b.number: b for b in Board.objects.filter(number__in=missing).only(*COLUMNS)}
        known |= found
        if not found:
            return


def _parents_of(boards: Iterable[Board]) -> set[int]:
    return {b.cut_from for b in boards if b.cut_from is not None and b.price is None}


class _Worths:
    """Worth of whole boards, before what their offcuts give back."""

    def __init__(self, known: dict[int, Board]) -> None:
        self.known = known

    def of(self, board: Board) -> tuple[Decimal | None, str]:
        """Return worth and currency; None where neither the board nor what it was cut from has a price."""
        if board.price is not None:
            return board.price, board.currency
        parent = self.known.get(board.cut_from) if board.cut_from is not None else None
        if parent is None:
            return None, ""
        whole, currency = self.of(parent)
        if whole is None:
            return None, ""
        return places(whole * volume_of(board) / volume_of(parent), 2), currency


def _cost(board: Board, worths: _Worths, offcuts: list[Board]) -> BoardCost:
    whole, currency = worths.of(board)
    kept = [cut for cut in offcuts if cut.step != Board.Step.WRITTEN_OFF] if whole is not None else []
    left = sum((worths.of(cut)[0] or Decimal(0) for cut in kept), Decimal("0.00"))
    return BoardCost(
        board=board.number, species=board.species, piece=board.piece,
        amount=None if whole is None else whole - left, left=left, currency=currency,
        is_used=board.step == Board.Step.USED,
    )  # fmt: skip
