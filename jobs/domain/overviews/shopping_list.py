"""The shopping list: what every open commission still needs, less the rack and the shelf."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from calcs.kit.rounding import places
from calcs.kit.units import both_units
from calcs.lumber.board_footage import board_feet
from calcs.lumber.boards import Bought, bought_words, together
from calcs.lumber.ends import ENDS
from calcs.lumber.lumber_choice import kept_wanted
from calcs.lumber.wanted import Wanted
from jobs.domain.billing.deposits import waiting_for_deposits
from jobs.domain.pieces.bill_of_materials import FIXINGS
from jobs.domain.pieces.inputs import products_for
from jobs.domain.stock.queries import supply_views
from jobs.domain.stock.suitability import MORE_THICKNESS
from jobs.domain.waits.queries import read_routes
from jobs.domain.waits.route import RouteState
from jobs.models import Board, Commission, Piece, Stage, Supply

OPEN = (Commission.Step.ACCEPTED, Commission.Step.IN_SHOP)
MILLED = ("rough-mill", "final-mill", "rip")
GLUED, SANDED, JOINED = ("glue-up",), ("sand", "resand"), ("joinery",)
STIFFENED = ("stiffeners", "fit-stiffeners")
PEGGED, FIXED = ("breadboard-glue",), ("deliver",)
RUN_OUT = (Supply.Level.LOW, Supply.Level.EMPTY)


@dataclass
class Need:
    """One supply, its amount, and the pieces that need it."""

    kind: str
    name: str
    unit: str
    sheet: str = ""
    amount: Decimal = Decimal(0)
    pieces: list[str] = field(default_factory=list)

    def add(self, amount: Any, piece: Piece) -> None:
        self.amount += Decimal(str(amount))
        if piece.number not in self.pieces:
            self.pieces.append(piece.number)


@dataclass
class Stock:
    """The boards of one piece: how much it takes in all, and what boards at hand give."""

    piece: str
    wanted: Wanted
    for_ends: tuple[Bought, ...]
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
    def to_buy(self) -> tuple[Bought, ...]:
        """Return the whole boards to buy beside those at hand."""
        still = self.wanted.still(self.strips, Fraction(self.at_hand_bf))
        return together(still.buy(), self.for_ends)

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


def shopping_list(*, today: date) -> dict[str, Any]:
    """Return boards by species and thickness, then glue, finish, abrasives and hardware; no prices."""
    pieces = Piece.objects.filter(commission__step__in=OPEN).select_related("commission").order_by("number")
    routes = read_routes(pieces).routes
    shelf = supply_views(Supply.objects.filter(discarded_at=None), today=today)
    needs = _supplies(routes)
    return {
        "boards": _boards(routes),
        "supplies": [_against_shelf(need, shelf) for need in needs],
        "run_out": [s for s in shelf if s["level"] in RUN_OUT or s["is_past"]],
        "not_figured": [r.piece.number for r in routes if not _figures(r, "lumber") and _before(r, MILLED)],
        "waiting_for_deposit": waiting_for_deposits({r.piece.commission for r in routes}),
        "pieces": len(routes),
    }


def _figures(route: RouteState, name: str) -> Mapping[str, Any]:
    return route.piece.computed.get(name, {}).get("result") or {}


def _stem(stage: Stage) -> str:
    stem, _, number = stage.key.rpartition("-")
    return stem if number.isdigit() else stage.key


def _open(route: RouteState, stems: Iterable[str]) -> list[Stage]:
    """Return the stages of these names that still need their material."""
    steps = (Stage.Step.DONE, Stage.Step.SKIPPED)
    return [s for s in route.stages if _stem(s) in stems and s.step not in steps]


def _before(route: RouteState, stems: Iterable[str]) -> bool:
    """Return whether a piece has such stages and none of them has begun."""
    of_them = [s for s in route.stages if _stem(s) in stems]
    return bool(of_them) and all(s.step == Stage.Step.PLANNED for s in of_them)


def _feet(board: Board) -> Decimal:
    return board_feet(
        thickness_len=board.thickness_len, width_len=board.width_len, length_len=board.length_len
    )


def _boards(routes: list[RouteState]) -> list[dict[str, Any]]:
    kept: dict[str, list[Board]] = defaultdict(list)
    for board in Board.objects.filter(piece__in=[r.piece.number for r in routes]):
        if board.step in (Board.Step.RESERVED, Board.Step.USED):
            kept[board.piece].append(board)
    found: dict[tuple[str, int], Lumber] = {}
    for route in routes:
        computed = route.piece.computed.get("lumber", {})
        if computed.get("result") and _before(route, MILLED):
            _add_lumber(found, route.piece, computed, kept[route.piece.number])
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
        for_ends=ends.buy() if ends else (),
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
        "to_buy": bought_words(together(*(stock.to_buy for stock in need.stock))),
        "pieces": [stock.piece for stock in need.stock],
    }


def _supplies(routes: list[RouteState]) -> list[Need]:
    needs: dict[tuple[str, str], Need] = {}

    def need(kind: str, name: str, unit: str, amount: Any, piece: Piece, *, sheet: str = "") -> None:
        if amount:
            needs.setdefault((kind, name), Need(kind, name, unit, sheet)).add(amount, piece)

    for route in routes:
        piece, count = route.piece, route.piece.quantity  # per piece; the finish is for all
        if _open(route, GLUED) and (glue := _figures(route, "gluing")):
            for product in products_for("glue", piece.inputs)[:1]:
                needed_ml = count * Decimal(glue["glue_ml"])
                need("glue", product.sheet.name, "mL", needed_ml, piece, sheet=product.key)
        if litres := _litres(route):
            for product in products_for("finish", piece.inputs)[:1]:
                need("finish", product.sheet.name, "L", litres, piece, sheet=product.key)
        if _open(route, SANDED):
            for step in _figures(route, "sanding").get("ladder", []):
                need("abrasive", f"Discs {step['grade']}", "discs", count * step["discs"], piece)
        if _open(route, JOINED) and (slots := _figures(route, "joinery")):
            need("hardware", slots["joiner"].capitalize(), "pieces", count * slots["buy"], piece)
        if _open(route, STIFFENED) and (stiff := _figures(route, "stiffening")):
            channels = count * stiff["count"]
            size = f"Steel channel, {both_units(stiff['channel_len'])} long"
            need("hardware", size, "pieces", channels, piece)
            bolts = channels * len(stiff["bolts"])
            need("hardware", "Bolt with washer and threaded insert", "sets", bolts, piece)
        if _open(route, PEGGED) and (ends := _figures(route, "breadboard")):
            need("hardware", _peg(ends), "pieces", count * ENDS * len(ends["pegs"]), piece)
        if _open(route, FIXED) and (fixed := _figures(route, "attachment")):
            name = FIXINGS[piece.inputs["fixing"]].capitalize()
            need("hardware", name, "pieces", count * fixed["count"], piece)
    order = [k.value for k in Supply.Kind]
    return sorted(needs.values(), key=lambda n: order.index(n.kind))


def _peg(ends: Mapping[str, Any]) -> str:
    """Return the name of a breadboard peg; ends that were figured earlier do not tell its size."""
    across = ends.get("peg_len")
    return f"Breadboard peg, {both_units(across)}" if across else "Breadboard peg"


def _litres(route: RouteState) -> Decimal:
    """Return the litres of the coats that are still to be laid."""
    figures = _figures(route, "finishing")
    if not figures:
        return Decimal(0)
    seal, build = (len(_open(route, (name,))) for name in ("seal", "build"))
    return seal * Decimal(figures["sealing_coat_l"]) + build * Decimal(figures["build_coat_l"])


def _against_shelf(need: Need, shelf: list[dict[str, Any]]) -> dict[str, Any]:
    there = [
        s
        for s in shelf
        if s["kind"] == need.kind
        and (s["sheet"] == need.sheet if need.sheet else _same_name(need.name, s["name"]))
    ]
    good = [s for s in there if not s["is_past"] and s["level"] not in RUN_OUT]
    return {
        "kind": need.kind,
        "name": need.name,
        "amount": need.amount,
        "unit": need.unit,
        "pieces": need.pieces,
        "shelf": [
            {"id": s["id"], "name": s["name"], "level": s["level"], "is_past": s["is_past"]} for s in there
        ],
        "buy": not good,
    }


def _same_name(needed: str, there: str) -> bool:
    """Return whether a supply without a sheet matches by name: by grit or size, else by a word."""
    words, have = _words(needed), _words(there)
    sizes = {word for word in words if any(sign.isdigit() for sign in word)}
    return bool((sizes or words) & have)


def _words(name: str) -> set[str]:
    return {word.strip(",").casefold() for word in name.split() if len(word) > 1}
