"""The shopping list: what every open commission still needs, less the rack and the shelf."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from calcs.kit.units import both_units
from calcs.lumber.ends import ENDS
from jobs.domain.billing.deposits import waiting_for_deposits
from jobs.domain.books.boards_to_buy import boards_to_buy
from jobs.domain.books.shopping_budget import DISC, PARTS, with_budget
from jobs.domain.pieces.bill_of_materials import BOLT, CHANNEL, FIXINGS, PEG
from jobs.domain.pieces.inputs import products_for
from jobs.domain.stock.queries import supply_views
from jobs.domain.waits.queries import read_routes
from jobs.domain.waits.route import RouteState
from jobs.models import Commission, Piece, Stage, Supply

OPEN = (Commission.Step.ACCEPTED, Commission.Step.IN_SHOP)
MILLED = ("rough-mill", "final-mill", "rip")
GLUED, SANDED, JOINED = ("glue-up",), ("sand", "resand"), ("joinery",)
STIFFENED = ("stiffeners", "fit-stiffeners")
PEGGED, FIXED = ("breadboard-glue",), ("deliver",)
RUN_OUT = (Supply.Level.LOW, Supply.Level.EMPTY)


@dataclass
class Need:
    """One supply, its amount, and the pieces that need it; ``price`` is the setting and key of its price."""

    kind: str
    name: str
    unit: str
    sheet: str = ""
    price: tuple[str, str] = ("", "")
    amount: Decimal = Decimal(0)
    pieces: list[str] = field(default_factory=list)

    def add(self, amount: Any, piece: Piece) -> None:
        self.amount += Decimal(str(amount))
        if piece.number not in self.pieces:
            self.pieces.append(piece.number)


def shopping_list(*, today: date, with_money: bool = False) -> dict[str, Any]:
    """Return boards by species and thickness, then glue, finish, abrasives and hardware.

    What is bought by the pack says how many packs. ``with_money`` adds the shop's prices, for the owner.
    """
    pieces = Piece.objects.filter(commission__step__in=OPEN).select_related("commission").order_by("number")
    routes = read_routes(pieces).routes
    shelf = supply_views(Supply.objects.filter(discarded_at=None), today=today)
    needs = _supplies(routes)
    boards = boards_to_buy([route.piece for route in routes if _before(route, MILLED)])
    supplies = [_against_shelf(need, shelf) for need in needs]
    return {
        **with_budget(boards, supplies, with_money=with_money),
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


def _supplies(routes: list[RouteState]) -> list[Need]:
    needs: dict[tuple[str, str], Need] = {}

    def need(
        kind: str, name: str, unit: str, amount: Any, piece: Piece, *price: str, sheet: str = ""
    ) -> None:
        if amount:
            setting, key = price
            needs.setdefault((kind, name), Need(kind, name, unit, sheet, (setting, key))).add(amount, piece)

    for route in routes:
        piece, count = route.piece, route.piece.quantity  # per piece; the finish is for all
        if _open(route, GLUED) and (glue := _figures(route, "gluing")):
            for product in products_for("glue", piece.inputs)[:1]:
                needed_ml = count * Decimal(glue["glue_ml"])
                need(
                    "glue", product.sheet.name, "mL", needed_ml, piece, "glue_prices", product.key,
                    sheet=product.key,
                )  # fmt: skip
        if litres := _litres(route):
            for product in products_for("finish", piece.inputs)[:1]:
                need(
                    "finish", product.sheet.name, "L", litres, piece, "finish_prices", product.key,
                    sheet=product.key,
                )  # fmt: skip
        if _open(route, SANDED):
            for step in _figures(route, "sanding").get("ladder", []):
                need("abrasive", f"Discs {step['grade']}", "discs", count * step["discs"], piece, DISC, "")
        if _open(route, JOINED) and (slots := _figures(route, "joinery")):
            name = slots["joiner"]
            need("hardware", name.capitalize(), "pieces", count * slots["buy"], piece, "joinery_prices", name)
        if _open(route, STIFFENED) and (stiff := _figures(route, "stiffening")):
            channels = count * stiff["count"]
            size = f"Steel channel, {both_units(stiff['channel_len'])} long"
            need("hardware", size, "pieces", channels, piece, PARTS, CHANNEL)
            bolts = channels * len(stiff["bolts"])
            need("hardware", "Bolt with washer and threaded insert", "sets", bolts, piece, PARTS, BOLT)
        if _open(route, PEGGED) and (ends := _figures(route, "breadboard")):
            need("hardware", _peg(ends), "pieces", count * ENDS * len(ends["pegs"]), piece, PARTS, PEG)
        if _open(route, FIXED) and (fixed := _figures(route, "attachment")):
            name = FIXINGS[piece.inputs["fixing"]]
            need("hardware", name.capitalize(), "pieces", count * fixed["count"], piece, PARTS, name)
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
        "sheet": need.sheet,
        "price": need.price,
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
