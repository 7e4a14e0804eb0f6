"""Boards to buy: what pieces want by species and thickness, less what is set aside and on the rack."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any

from calcs.kit.rounding import places
from calcs.lumber.board_footage import board_feet
from calcs.lumber.boards import Bought, bought_words, together
from calcs.lumber.lumber_choice import kept_wanted
from calcs.lumber.wanted import Wanted
from jobs.domain.stock.suitability import MORE_THICKNESS
from jobs.models import Board, Piece


@dataclass
class Stock:
    """The boards of one piece: how much it takes in all, and what boards at hand give."""

    piece: str
    wanted: Wanted
    ends: Wanted | None
    wanted_bf: Decimal
    boards: int
    strips: Counter[int] = field(default_factory=Counter)
    at_hand_bf: Decimal = Decimal(0)

    def add(self, board: Board) -> bool:
        """Count a board by its measured sizes; return whether it gives a strip."""
        if not self.wanted.takes(board.thickness_len, board.length_len):
            return False
        found = self.wanted.strips_of(board.width_len, board.length_len)
        if found:
            self.strips += found
            self.at_hand_bf += _feet(board)
        return bool(found)

    @property
    def for_ends(self) -> tuple[Bought, ...]:
        return self.ends.buy() if self.ends else ()

    @property
    def still(self) -> Wanted:
        """Return the strips that boards at hand do not give."""
        return self.wanted.still(self.strips, Fraction(self.at_hand_bf))

    @property
    def to_buy(self) -> tuple[Bought, ...]:
        """Return the whole boards to buy beside those at hand."""
        return together(self.still.buy(), self.for_ends)

    @property
    def cuts(self) -> list[dict[str, Any]]:
        """Return what the boards to buy must give: how many, from which least width and length [1/8 µm].

        A strip that is as wide as its board has no least width.
        """
        wants = [("strips", self.still), *([("ends", self.ends)] if self.ends else [])]
        return [
            {
                "piece": self.piece,
                "what": what,
                "count": want.strips,
                "wide_len": want.strip_len and want.strip_len + want.lost_len,
                "long_len": want.blank_len,
            }
            for what, want in wants
            if want.strips
        ]

    @property
    def missing_bf(self) -> Decimal:
        return places(self.wanted.feet(self.to_buy), 2)


@dataclass
class Lumber:
    """Stock of one species and thickness: the wants of the pieces, and the boards set aside for them."""

    species: str
    quarters: str
    rough_len: int
    set_aside_bf: Decimal = Decimal(0)
    no_use: list[int] = field(default_factory=list)
    stock: list[Stock] = field(default_factory=list)


def _feet(board: Board) -> Decimal:
    return board_feet(
        thickness_len=board.thickness_len, width_len=board.width_len, length_len=board.length_len
    )


def boards_to_buy(pieces: Sequence[Piece]) -> list[dict[str, Any]]:
    """Return the stock of each species and thickness that pieces want, less what is kept and on the rack."""
    kept: dict[str, list[Board]] = defaultdict(list)
    for board in Board.objects.filter(piece__in=[piece.number for piece in pieces]):
        if board.step in (Board.Step.RESERVED, Board.Step.USED):
            kept[board.piece].append(board)
    found: dict[tuple[str, int], Lumber] = {}
    for piece in pieces:
        computed = piece.computed.get("lumber", {})
        if computed.get("result"):
            _add_lumber(found, piece, computed, kept[piece.number])
    rack = list(Board.objects.filter(step=Board.Step.FREE).order_by("thickness_len", "number"))
    return [
        _against_rack(one, rack) for one in sorted(found.values(), key=lambda n: (n.species, n.rough_len))
    ]


def _add_lumber(
    found: dict[tuple[str, int], Lumber], piece: Piece, computed: Mapping[str, Any], kept: list[Board]
) -> None:
    figures = computed["result"]
    species = piece.inputs["species"] or "wood not chosen yet"
    key = (species, figures["rough_len"])
    need = found.setdefault(key, Lumber(species, figures["quarters"], figures["rough_len"]))
    wanted, ends = kept_wanted(computed["inputs"], figures)
    stock = Stock(
        piece=piece.number,
        wanted=wanted,
        ends=ends,
        wanted_bf=Decimal(figures["buy_bf"]) + Decimal(figures.get("hand_bf") or 0),
        boards=figures["boards"],
    )
    need.stock.append(stock)
    for board in kept:
        need.set_aside_bf += _feet(board)
        if board.species != species or not stock.add(board):
            need.no_use.append(board.number)


def _against_rack(need: Lumber, rack: list[Board]) -> dict[str, Any]:
    """Return a lumber need less the free boards; each board counts once, for the thinnest stock."""
    most = need.rough_len + MORE_THICKNESS
    taken = []
    for board in [b for b in rack if b.species == need.species and b.thickness_len < most]:
        if any(stock.to_buy != stock.for_ends and stock.add(board) for stock in need.stock):
            rack.remove(board)
            taken.append(board)
    to_buy = together(*(stock.to_buy for stock in need.stock))
    return {
        "species": need.species,
        "quarters": need.quarters,
        "wanted_bf": sum((stock.wanted_bf for stock in need.stock), Decimal(0)),
        "set_aside_bf": need.set_aside_bf,
        "no_use": need.no_use,
        "rack_bf": sum((_feet(board) for board in taken), Decimal(0)),
        "rack": [board.number for board in taken],
        "buy_bf": sum((stock.missing_bf for stock in need.stock), Decimal(0)),
        "boards": sum(stock.boards for stock in need.stock),
        "rough_len": need.rough_len,
        "cuts": [cut for stock in need.stock for cut in stock.cuts],
        "whole": [vars(bought) for bought in to_buy],
        "to_buy": bought_words(to_buy),
        "pieces": [stock.piece for stock in need.stock],
    }
