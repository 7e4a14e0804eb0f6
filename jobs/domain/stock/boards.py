"""Commands on boards: add, change, read moisture, reserve, release, use, write off."""

from decimal import Decimal
from typing import Any

from calcs.kit.amounts import parse_percent
from calcs.kit.length_reading import parse_length
from calcs.kit.units import inches
from jobs.core.errors import Invalid, NotFound, WrongState
from jobs.core.parsing import to_money
from jobs.core.units import Units, echo
from jobs.domain import lookups
from jobs.domain.checks import about, no_others, refuse_if_ended, the_reason
from jobs.domain.gate_rules import gate_rules
from jobs.domain.settings import settings
from jobs.domain.stock.suitability import misfit
from jobs.domain.stock.woods import wood_named
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import store_private_text
from jobs.log.projections.stock.boards import SIDES
from jobs.models import Board

Step = Board.Step
LENGTHS = {
    "thickness": (inches("1/8"), inches(10)),
    "width": (inches("1/2"), inches(60)),
    "length": (inches(1), inches(360)),
}
"""Least and most of a board's sides [1/8 µm]: what fits a shop, common practice, no source."""
MEASURED = ("species", *LENGTHS)
CHANGED = (*MEASURED, "price", "note")
DEEPEST = inches(5)
MOST_PRICE = Decimal(1_000_000)
LONGEST_NOTE = 2000


@command
def add_board(
    tx: CommandTransaction,
    *,
    species: str,
    thickness: str,
    width: str,
    length: str,
    units: Units,
    price: str | None = None,
    note: str = "",
) -> None:
    """Add a board to the rack with its measured sides, under a new number."""
    sides = read_sides({"thickness": thickness, "width": width, "length": length}, units)
    cost = None if price is None or not str(price).strip() else _price(tx, price)
    number = next_number()
    tx.append(
        "board_added",
        f"board:{number}",
        {
            "board": number,
            "species": wood_named(species),
            **sides,
            "price": cost,
            "currency": settings()["currency"] if cost is not None else "",
            "note": store_private_text(note, field="note", longest=LONGEST_NOTE),
        },
    )


@command
def change_board(tx: CommandTransaction, /, *, board: int, units: Units, **changes: str | None) -> None:
    """Change the typed fields of a board; fields not given stay, an empty price or remark is removed.

    A used board keeps its wood and its measured sizes. A reserved board keeps its wood.
    """
    found = the_board(tx, board)
    given = {name: str(text) for name, text in changes.items() if text is not None}
    no_others(given, CHANGED)
    if not given:
        raise Invalid("nothing to change", field="board", value=board, allowed=", ".join(CHANGED))
    refuse_unless(found, "changed", Step.FREE, Step.RESERVED, Step.USED)
    data = _changed(tx, found, given, units)
    tx.append("board_changed", f"board:{board}", {"board": board, **data})


def _changed(tx: CommandTransaction, found: Board, given: dict[str, str], units: Units) -> dict[str, Any]:
    data: dict[str, Any] = {}
    if "species" in given:
        data["species"] = wood_named(given["species"])
        if data["species"] != found.species and found.step != Step.FREE:
            raise _stays(found, "species", given["species"])
    sides = {name: given[name] for name in LENGTHS if name in given}
    if sides:
        read = read_sides(sides, units)
        for name in sides:
            if read[f"{name}_len"] != getattr(found, f"{name}_len") and found.step == Step.USED:
                raise _stays(found, name, given[name])
        _refuse_if_larger_than_cut_from(found, read, given)
        data |= {**read, "typed": {**found.typed, **read["typed"]}}
    if "price" in given:
        price = _price(tx, given["price"]) if given["price"].strip() else None
        if price is None:
            tx.require_owner("the price of a board")
        data |= {"price": price, "currency": settings()["currency"] if price is not None else ""}
    if "note" in given:
        data["note"] = store_private_text(given["note"], field="note", longest=LONGEST_NOTE)
    return data


def _stays(board: Board, field: str, value: str) -> WrongState:
    return WrongState(
        f"board {board.number} is {board.step} for {board.piece}: its {field} stays on record",
        field=field,
        value=value,
        allowed=f"{board.species if field == 'species' else board.typed.get(field, 'as it is')};"
        " release the board first",
    )


def _refuse_if_larger_than_cut_from(found: Board, read: dict[str, Any], given: dict[str, str]) -> None:
    """Refuse an offcut larger than its board, and offcuts that together exceed it."""
    if found.cut_from is None:
        return
    whole = lookups.board(found.cut_from)
    new = Board(**{side: read.get(side, getattr(found, side)) for side in SIDES})
    for side in SIDES:
        if getattr(new, side) > getattr(whole, side):
            name = side.removesuffix("_len")
            says = f"the {name} is more than that of board {whole.number}"
            allowed = f"up to {whole.typed.get(name) or 'the old board'}"
            raise Invalid(says, field=name, value=given.get(name, ""), allowed=allowed)
    others = Board.objects.filter(cut_from=whole.number).exclude(number=found.number)
    if sum(volume_of(b) for b in others) + volume_of(new) > volume_of(whole):
        name = next(name for name in LENGTHS if name in given)
        says, allowed = f"board {whole.number} has not so much left", "what its other offcuts leave of it"
        raise Invalid(says, field=name, value=given[name], allowed=allowed)


@command
def read_moisture(tx: CommandTransaction, *, board: int, pct: str, units: Units, depth: str = "") -> None:
    """Record a moisture reading of a board, and the depth of the pins."""
    found = the_board(tx, board)
    refuse_unless(found, "read", Step.FREE, Step.RESERVED, Step.USED)
    read = parse_percent(str(pct), field="pct", least="0", most="100")
    if read != round(read, 2):
        raise Invalid("too exact for a meter", field="pct", value=pct, allowed="up to 2 decimals")
    deep = parse_length(depth, unit=units.length, field="depth", least=0, most=DEEPEST) if depth else None
    tx.append(
        "board_moisture_read",
        f"board:{board}",
        {"board": board, "pct": read, "at": tx.call.at, "depth_len": deep.units if deep else None},
    )


@command
def void_moisture(tx: CommandTransaction, *, board: int, reading: int) -> None:
    """Void a moisture reading that was wrong; it stays visible and no longer counts."""
    found = the_board(tx, board)
    readings = {r.id: r for r in found.readings.all()}
    if reading not in readings:
        raise NotFound(f"board {board} has no such reading", field="reading", value=reading)
    if readings[reading].voided:
        raise WrongState("this reading was taken back already", field="reading", value=reading)
    tx.append("board_moisture_voided", f"board:{board}", {"board": board, "reading": reading})


@command
def reserve_board(tx: CommandTransaction, *, board: int, piece: str) -> None:
    """Reserve a free board for a piece."""
    found = the_board(tx, board)
    refuse_unless(found, "reserved", Step.FREE)
    _check_piece(tx, found, piece)
    tx.append("board_reserved", f"board:{board}", {"board": board, "piece": piece})
    commission = lookups.piece(piece).commission
    if gate_rules()["deposit-received"](commission):
        tx.notices.append(f"the deposit of {commission.number} has not come yet")


@command
def release_board(tx: CommandTransaction, *, board: int) -> None:
    """Return a reserved board to the rack, or one that was marked used by mistake."""
    found = the_board(tx, board)
    refuse_unless(found, "released", Step.RESERVED, Step.USED)
    cuts = [str(b.number) for b in Board.objects.filter(cut_from=board)]
    if cuts:
        raise about(found, f"was cut: {', '.join(cuts)} came from it", allowed="boards that were not cut")
    tx.append("board_released", f"board:{board}", {"board": board, "piece": found.piece})


@command
def use_board(tx: CommandTransaction, *, board: int, piece: str = "") -> None:
    """Mark a board used by the piece it is reserved for; a free board needs ``piece``."""
    found = the_board(tx, board)
    refuse_unless(found, "used", Step.FREE, Step.RESERVED)
    if found.step == Step.RESERVED and piece not in ("", found.piece):
        says = f"board {board} is reserved for {found.piece}"
        raise WrongState(says, field="piece", value=piece, allowed=f"{found.piece}; release the board first")
    if not (piece or found.piece):
        raise Invalid(
            "the piece that used it is missing", field="piece", value="", allowed="the number of a piece"
        )
    _check_piece(tx, found, piece or found.piece)
    tx.append("board_used", f"board:{board}", {"board": board, "piece": piece or found.piece})


@command
def write_off_board(tx: CommandTransaction, *, board: int, reason: str) -> None:
    """Write off a board that is split, wormy or gone, with a reason."""
    found = the_board(tx, board)
    refuse_unless(found, "written off", Step.FREE, Step.RESERVED)
    why = the_reason(reason, what="writing off")
    tx.append("board_written_off", f"board:{board}", {"board": board, "reason": why})


def the_board(tx: CommandTransaction, number: int) -> Board:
    found = lookups.board(number)
    tx.check_version(found.version, what=f"board {number}")
    return found


def refuse_unless(board: Board, what: str, *steps: str) -> None:
    if board.step in steps:
        return
    of = f" for {board.piece}" if board.piece else ""
    says = f"is {board.step}{of}; it cannot be {what}"
    raise about(board, says, allowed=", ".join(steps))


def _check_piece(tx: CommandTransaction, board: Board, number: str) -> None:
    """Refuse a piece of an ended commission; add a notice where the board does not suit the piece."""
    found = lookups.piece(number)
    refuse_if_ended(found.commission)
    if why := misfit(board, found):
        tx.notices.append(why)


def read_sides(asked: dict[str, str], units: Units) -> dict[str, Any]:
    read = {}
    for name, text in asked.items():
        least, most = LENGTHS[name]
        read[name] = parse_length(str(text), unit=units.length, field=name, least=least, most=most)
    return {
        **{f"{name}_len": one.units for name, one in read.items()},
        "typed": {name: echo(one) for name, one in read.items()},
    }


def _price(tx: CommandTransaction, text: str) -> Decimal:
    tx.require_owner("the price of a board")
    price = to_money(text, "price")
    if not 0 <= price <= MOST_PRICE or price != round(price, 2):
        allowed = f"0 to {MOST_PRICE}, up to 2 decimals"
        raise Invalid("not a price", field="price", value=str(text)[:40], allowed=allowed)
    return round(price, 2)


def next_number() -> int:
    last = Board.objects.order_by("-number").first()
    return last.number + 1 if last else 1


def volume_of(board: Board) -> int:
    return board.thickness_len * board.width_len * board.length_len
