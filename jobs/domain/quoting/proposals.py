"""Proposed prices: each piece from its calculations and the shop's rates.

Materials come from `bill_of_materials`, at the shop's prices. Hours are typed, or the shop's own where they
were chosen, at the hourly rate. `calcs.money.costing` adds them up.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from decimal import Decimal
from typing import Any

from calcs.kit.errors import CalcError
from calcs.kit.rounding import places
from calcs.kit.units import format_length
from calcs.materials.species import species_list
from calcs.money.costing import Price, costing
from calcs.money.costing_inputs import Costing, Labour
from jobs.core.canonical_json import plain
from jobs.core.errors import Invalid, NotYet, ShopError
from jobs.core.units import Units, unit_of
from jobs.domain.commissions.labour_rates import LEAST_JOBS, Rate, kinds_of, offered, rates
from jobs.domain.pieces.bill_of_materials import needs, not_counted
from jobs.domain.pieces.calculations import compute
from jobs.domain.pieces.context import SIZES
from jobs.domain.pieces.inputs import read_inputs
from jobs.domain.routes import all_routes
from jobs.domain.settings import settings
from jobs.domain.stock.product_sheets import newest, product
from jobs.domain.stock.woods import own_woods
from jobs.models import Piece

SPECIES, FINISH, OPTION = "species", "finish", "option"
WHATS = {SPECIES: "species", FINISH: "finish_face"}
"""The input that an alternative of each kind changes; an option in words changes none."""
MINUTES = Decimal(60)


@dataclass(frozen=True, kw_only=True)
class Asked:
    """The hours requested for a quote: in one sum, by kind of stage, or the shop's own."""

    hours: Mapping[str, Decimal] = field(default_factory=dict)
    minutes: Mapping[str, Mapping[str, Decimal]] = field(default_factory=dict)
    own: Sequence[str] = ()


@dataclass(frozen=True, kw_only=True)
class Known:
    """Hours of a piece, their basis, and the minutes of each kind of stage where known."""

    hours: Decimal
    basis: str
    stages: tuple[dict[str, Any], ...] = ()


@dataclass(frozen=True, kw_only=True)
class AlternativePrice:
    """A piece in another wood or finish, and its difference in price before tax."""

    inputs: dict[str, Any]
    computed: dict[str, Any]
    description: str
    difference: Decimal | None


def known_hours(pieces: Sequence[Piece], asked: Asked) -> dict[str, Known]:
    """Return the hours of each piece as requested; the shop's own rates only where chosen.

    The same rates spread a sum of hours over the stages.
    """
    known = rates() if asked.own or asked.hours else {}
    return {piece.number: _known(piece, asked, known) for piece in pieces}


def _known(piece: Piece, asked: Asked, known: Mapping[str, Rate]) -> Known:
    number = piece.number
    if number in asked.hours:
        return _in_one_sum(piece, asked.hours[number], known)
    typed = asked.minutes.get(number, {})
    own = {one["kind"]: one for one in (offered(piece, known) if number in asked.own else [])}
    titles = kinds_of(piece)
    stages: list[dict[str, Any]] = [
        {"kind": kind, "title": title, "minutes": typed[kind], "jobs": 0}
        if kind in typed
        else {"kind": kind, "title": title, "minutes": own[kind]["minutes"], "jobs": own[kind]["jobs"]}
        for kind, title in titles.items()
        if kind in typed or kind in own
    ]
    if not stages:
        return Known(hours=Decimal(0), basis="no hours were given")
    learned = sum(1 for stage in stages if stage["jobs"])
    told = [f"typed for {len(stages) - learned}"] if learned < len(stages) else []
    told += [f"the medians of the shop's own jobs for {learned}"] if learned else []
    minutes = sum((Decimal(stage["minutes"]) for stage in stages), Decimal(0))
    basis = f"{' and '.join(told)} of {len(titles)} kinds of stage"
    return Known(hours=places(minutes / MINUTES, 2), basis=basis, stages=tuple(stages))


def _in_one_sum(piece: Piece, hours: Decimal, known: Mapping[str, Rate]) -> Known:
    """Spread a sum of hours over the stages by the medians of the shop's own jobs.

    The sum stays whole unless every kind of stage of the piece has a rate.
    """
    titles = kinds_of(piece)
    own = {one["kind"]: one for one in offered(piece, known) if one["kind"] in titles}
    whole = sum((one["minutes"] for one in own.values()), Decimal(0))
    if own.keys() != titles.keys() or not whole:
        told = f"{len(own)} of {len(titles)} kinds of stage have {LEAST_JOBS} jobs to spread it by"
        return Known(hours=hours, basis=f"typed in one sum and left so: {told}")
    stages, before, spread = [], Decimal(0), Decimal(0)
    for kind, title in titles.items():
        before += own[kind]["minutes"]
        upto = places(hours * MINUTES * before / whole, 0)
        stages.append({"kind": kind, "title": title, "minutes": upto - spread, "jobs": own[kind]["jobs"]})
        spread = upto
    told = "typed in one sum, spread over the stages as the medians of the shop's own jobs"
    return Known(hours=hours, basis=told, stages=tuple(stages))


def cost_of(inputs: Mapping[str, Any], computed: Mapping[str, Any], hours: Decimal) -> Price | None:
    """Return cost and price of a piece's whole count; None where the shop has no price for any of it."""
    shop = settings()
    materials = [need.material for need in needs(inputs, computed, shop) if need.material]
    rate = shop["hourly_rate"]
    labour = (Labour(stage="work", hours=hours),) if rate is not None and hours else ()
    if not materials and not labour:
        return None
    return costing(
        Costing(
            materials=tuple(materials),
            labour=labour,
            rate=Decimal(rate) if rate is not None else None,
            overhead_pct=Decimal(shop["overhead_pct"]),
            profit_pct=Decimal(shop["profit_pct"]),
            profit_as=shop["profit_as"],
        )
    )


def basis_of(piece: Piece, known: Known, cost: Price | None) -> dict[str, Any]:
    """Return the basis of a proposed price, for the owner; it holds no personal words."""
    shop = settings()
    missing = not_counted(piece.inputs, piece.computed, shop)
    if not known.hours:
        missing.append("hours not counted: none were given")
    elif shop["hourly_rate"] is None:
        missing.append(f"hours not counted: no rate of an hour in the shop's settings ({known.hours} h)")
    told: dict[str, Any] = {
        "piece": piece.number, "hours": known.hours, "hours_from": known.basis, "price": None,
        "stages": list(known.stages), "not_counted": missing,
    }  # fmt: skip
    if cost is not None:
        told |= {"price": cost.price, "cost": cost.cost, "notes": cost.notes, "source": cost.source}
        remarks = {need.what: need.remark for need in needs(piece.inputs, piece.computed, shop)}
        told["lines"] = [
            {**asdict(line), "why": ", ".join(filter(None, (line.why, remarks.get(line.what))))}
            for line in cost.lines
        ]
    return plain(told, field="basis")  # type: ignore[no-any-return]


def words_for(piece: Piece, label: str, units: Units) -> str:
    """Return the description of a piece for a line of a quote."""
    inputs = piece.inputs
    sizes = [_as_ordered(inputs, name, units) for name in SIZES if inputs.get(name) is not None]
    facts = [" × ".join(sizes), _wood(inputs), _finish_name(inputs) if sizes else ""]
    count = f" ({piece.quantity} pieces)" if piece.quantity > 1 else ""
    return f"{label}{count}\n{', '.join(f for f in facts if f)}".strip()


def _as_ordered(inputs: Mapping[str, Any], name: str, units: Units) -> str:
    """Return a size in the unit it was typed in, followed by the shop's unit where that differs."""
    unit = unit_of(inputs.get("typed", {}).get(name.removesuffix("_len"), ""), units.length)
    ordered = format_length(inputs[name], unit)
    return ordered if unit == units.length else f"{ordered} ({format_length(inputs[name], units.length)})"


def price_alternative(piece: Piece, label: str, what: str, to: str, hours: Decimal) -> AlternativePrice:
    """Price a piece in another wood or with another finish, at the same hours.

    The piece as it is gets recalculated too, so that only wood or finish makes the difference.

    Raises
    ------
    Invalid
        Where the calculations refuse it.
    """
    name = WHATS[what]
    asked = {name: to}
    if what == FINISH and piece.inputs["finish_under"] == piece.inputs["finish_face"]:
        asked["finish_under"] = to
    inputs = _read(asked, piece, what)
    if inputs[name] == piece.inputs[name]:
        raise Invalid(f"it has this {what} already", field=what, value=to, allowed=f"another {what}")
    computed = compute(inputs, piece)
    refused = computed.get("lumber" if what == SPECIES else "finishing", {}).get("refused")
    if refused:
        raise Invalid(f"it cannot be figured: {refused}", field=what, value=to, allowed=f"another {what}")
    names = (_finish_name(piece.inputs), _finish_name(inputs))
    words = (
        f"{label}: in {_wood(inputs)} instead of {_wood(piece.inputs)}"
        if what == SPECIES
        else f"{label}: finished with {names[1]} instead of {names[0]}"
    )
    try:
        as_it_is = compute(piece.inputs, piece)
        before, after = cost_of(piece.inputs, as_it_is, hours), cost_of(inputs, computed, hours)
    except CalcError:
        before = after = None
    known = before is not None and after is not None and _priced(piece.inputs, inputs, what, settings())
    difference = after.price - before.price if known and after and before else None
    return AlternativePrice(inputs=inputs, computed=computed, description=words, difference=difference)


def priced_woods(piece: Piece, shop: Mapping[str, Any]) -> list[str]:
    """Return the other woods whose difference the shop's prices determine."""
    own = (sheet.name for sheet in own_woods().values())
    return _priced_others(piece, SPECIES, (*(one.name for one in species_list()), *own), shop)


def priced_finishes(piece: Piece, shop: Mapping[str, Any]) -> list[str]:
    """Return the keys of other finishes that fit the route and whose difference the prices determine."""
    taken = all_routes().get(piece.inputs["route"])
    if taken is None:  # the template is gone or unusable, so no other finish can be checked against it
        return []
    film = taken.film
    finishes = sorted(newest("finish").items())
    takes = (k for k, p in finishes if film is None or (p.finish and p.finish.film == film))
    return _priced_others(piece, FINISH, takes, shop)


def _priced_others(piece: Piece, what: str, others: Iterable[str], shop: Mapping[str, Any]) -> list[str]:
    name, inputs = WHATS[what], piece.inputs
    return [to for to in others if to != inputs[name] and _priced(inputs, {name: to}, what, shop)]


def _read(asked: Mapping[str, Any], piece: Piece, what: str) -> dict[str, Any]:
    """Return the inputs with another wood or finish; a refusal names the field of the alternative."""
    try:
        return read_inputs(asked, Units(), piece.inputs)
    except (ShopError, CalcError) as refused:
        refused.field = what
        raise


def _priced(before: Mapping[str, Any], after: Mapping[str, Any], what: str, shop: Mapping[str, Any]) -> bool:
    """Return whether the shop has prices for both; one price for all woods gives no difference."""
    names = {before[WHATS[what]], after[WHATS[what]]}
    if what == FINISH:
        return names <= set(shop["finish_prices"])
    named = names & set(shop["lumber_prices"])
    return len(named) == len(names) or bool(named and shop["price_per_board_foot"] is not None)


def difference_or_refuse(other: AlternativePrice, what: str) -> Decimal:
    """Return the calculated difference; refuse where the shop's rates give none."""
    if other.difference is None:
        to = _wood(other.inputs) if what == SPECIES else _finish_name(other.inputs)
        raise NotYet(
            f"the shop's rates say no price of {to} and of what it stands for",
            field="difference",
            value=None,
            allowed="the difference itself, or prices of both in the shop's settings",
        )
    return other.difference


def _wood(inputs: Mapping[str, Any]) -> str:
    """Return the species as a client calls it, without the remark of its table."""
    return str(inputs["species"] or "").partition(" (")[0]


def _finish_name(inputs: Mapping[str, Any]) -> str:
    found = product("finish", inputs["finish_face"])
    name = str(found.sheet.name)
    return name if found.version else name[:1].lower() + name[1:]  # a class within a sentence
