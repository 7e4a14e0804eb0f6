"""One bill for several boards: its sum falls on them by their board feet."""

from collections.abc import Sequence
from decimal import Decimal

from calcs.kit.rounding import places
from jobs.core.errors import Invalid
from jobs.core.parsing import to_money
from jobs.domain import lookups
from jobs.domain.checks import about, in_range
from jobs.domain.settings import settings
from jobs.domain.stock.boards import MOST_PRICE, Step, refuse_unless, volume_of
from jobs.log.commands import CommandTransaction, command
from jobs.models import Board

MOST_BOARDS = 200


@command
def price_boards(tx: CommandTransaction, *, boards: Sequence[int], total: str) -> None:
    """Lay the sum of a bill, without tax, on boards that have no price, by their board feet, to the cent."""
    tx.require_owner("the price of boards")
    amount = to_money(total, "total")
    if not 0 < amount <= MOST_PRICE or amount != round(amount, 2):
        allowed = f"above 0, up to {MOST_PRICE}, up to 2 decimals"
        raise Invalid("not a sum", field="total", value=str(total)[:40], allowed=allowed)
    in_range(len(boards), 1, MOST_BOARDS, "a bill needs boards", field="boards")
    if len(set(boards)) < len(boards):
        raise Invalid("a board twice", field="boards", value=list(boards), allowed="each board once")
    found = [lookups.board(number) for number in sorted(boards)]
    for board in found:
        _refuse_if_priced(board)
    currency, whole = settings()["currency"], sum(volume_of(board) for board in found)
    before, upto = Decimal(0), 0
    for board in found:
        upto += volume_of(board)
        together = places(amount * upto / whole, 2)
        data = {"board": board.number, "price": together - before, "currency": currency}
        tx.append("board_changed", f"board:{board.number}", data)
        before = together


def _refuse_if_priced(board: Board) -> None:
    refuse_unless(board, "priced", Step.FREE, Step.RESERVED, Step.USED)
    if board.price is not None:
        raise about(board, "has a price already", allowed="boards without a price")
    if board.cut_from is not None:
        raise about(
            board, f"was cut off board {board.cut_from} and has its share of that price",
            allowed="boards that came from the yard",
        )  # fmt: skip


def unpriced() -> list[Board]:
    """Return the boards from the yard that a bill may be laid on, the newest first."""
    found = Board.objects.filter(price=None, cut_from=None).exclude(step=Step.WRITTEN_OFF)
    return list(found.order_by("-number")[:MOST_BOARDS])
