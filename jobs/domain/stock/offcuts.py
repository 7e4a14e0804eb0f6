"""Offcuts: cut from a used board, and boards themselves."""

from jobs.core.errors import Invalid
from jobs.core.units import Units
from jobs.domain.stock.boards import (
    LENGTHS,
    LONGEST_NOTE,
    Step,
    next_number,
    read_sides,
    refuse_unless,
    the_board,
    volume_of,
)
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import store_private_text
from jobs.log.projections.stock.boards import SIDES
from jobs.models import Board


@command
def cut_offcut(
    tx: CommandTransaction,
    *,
    board: int,
    length: str,
    units: Units,
    width: str = "",
    thickness: str = "",
    note: str = "",
) -> None:
    """Add the rest of a used board to the rack as a new board.

    A side not given is the old board's. Offcuts together cannot exceed the volume of the board.
    """
    found = the_board(tx, board)
    refuse_unless(found, "cut", Step.USED)
    asked = {"length": length, "width": width, "thickness": thickness}
    given = {name: text for name, text in asked.items() if str(text).strip() or name == "length"}
    read = read_sides(given, units)
    sides = {side: read.get(side, getattr(found, side)) for side in SIDES}
    for name in given:
        was = getattr(found, f"{name}_len")
        if sides[f"{name}_len"] > was:
            says, allowed = f"the {name} is more than the board's", found.typed.get(name) or "the old board"
            raise Invalid(says, field=name, value=given[name], allowed=f"up to {allowed}")
    before = sum(volume_of(b) for b in Board.objects.filter(cut_from=board))
    new = Board(**sides)
    if before + volume_of(new) > volume_of(found):
        says, allowed = f"board {board} has not so much left", "what earlier offcuts left of it"
        raise Invalid(says, field="length", value=length, allowed=allowed)
    number = next_number()
    typed = {name: read["typed"].get(name, found.typed.get(name, "")) for name in LENGTHS}
    tx.append(
        "board_cut",
        f"board:{number}",
        {
            "board": number,
            "cut_from": board,
            **sides,
            "typed": typed,
            "note": store_private_text(note, field="note", longest=LONGEST_NOTE),
        },
    )
