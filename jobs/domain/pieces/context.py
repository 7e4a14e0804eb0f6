"""The context of a piece's calculations: inputs, shop settings, and results that others need."""

from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, is_dataclass, replace
from decimal import Decimal
from functools import cached_property
from typing import Any, TypedDict, TypeVar

from calcs.glue_up.clamping_inputs import Clamps
from calcs.kit.errors import CalcError
from calcs.lumber.board_tally import Boards
from calcs.lumber.ends import usual_tongue_deep
from calcs.lumber.layout import Layout, StripLayout, strips
from calcs.lumber.lumber import LumberNeed, top_lumber
from calcs.lumber.lumber_inputs import TopLumber
from calcs.lumber.random_widths import laid_out
from calcs.structure.breadboard_inputs import BreadboardEnd
from calcs.structure.stiffening import Stiffening, stiffening
from calcs.structure.stiffening_inputs import Stiffeners
from calcs.tables import PRACTICE
from calcs.wood.weight import Channel
from jobs.domain.pieces.extra_inputs import NOT_TOLD, RESERVED_BOARDS
from jobs.domain.pieces.inputs import products_for
from jobs.domain.routes import route
from jobs.domain.settings import settings
from jobs.domain.stock.product_sheets import Product
from jobs.domain.stock.woods import wood_line
from jobs.models import Board, Equipment, Piece

Found = TypeVar("Found")


class Sizes(TypedDict):
    """The finished size of a top [1/8 µm]."""

    length_len: int
    width_len: int
    thickness_len: int


class Ends(TypedDict, total=False):
    """Width of the breadboard ends and depth of the tongues [1/8 µm]; nothing without ends."""

    end_wide_len: int
    tongue_deep_len: int


class YearlyAir(TypedDict):
    """The wood and the yearly air, as `Seasons` of calcs takes them."""

    species: str
    cut: str
    temp_c: Decimal
    rh_low_pct: Decimal
    rh_high_pct: Decimal


SIZES = tuple(Sizes.__annotations__)


@dataclass(frozen=True, kw_only=True)
class CalculationContext:
    """A piece about to be calculated; lengths [1/8 µm]."""

    inputs: Mapping[str, Any]
    shop: Mapping[str, Any]
    clamps: tuple[Clamps, ...] = ()
    boards: tuple[Boards, ...] = ()
    """Boards reserved for the piece or used by it, where its strips are as wide as they are."""

    @property
    def sizes(self) -> Sizes:
        inputs = self.inputs
        return Sizes(
            length_len=inputs["length_len"],
            width_len=inputs["width_len"],
            thickness_len=inputs["thickness_len"],
        )

    @cached_property
    def layout_asked(self) -> StripLayout:
        """Return the strips asked for: alike, or as wide as the reserved boards and those still to buy."""
        if not self.from_boards:
            return self.strips_alike
        alike = self.strips_alike
        found = laid_out(
            self.lumber.hand_strips,
            width_len=alike.width_len + alike.final_trim_len,
            strip_len=strips(alike).strip_len,
        )
        return replace(
            alike,
            actual_widths_len=tuple(width for width, _ in found),
            actual_from=tuple(origin for _, origin in found),
        )

    @cached_property
    def strips_alike(self) -> StripLayout:
        inputs = self.inputs
        return StripLayout(
            width_len=inputs["width_len"],
            length_len=inputs["length_len"],
            widest_len=inputs["widest_strip_len"],
            final_trim_len=inputs["trim_width_len"],
            ring_direction=inputs["ring_direction"],
            lost_len=inputs.get("lost_width_len", 0),
            prefer=None if inputs["prefer"] == "either" else inputs["prefer"],
            trim_len=inputs["trim_length_len"],
            **self.ends,
        )

    @property
    def from_boards(self) -> bool:
        """Return whether strips are as wide as the boards that are reserved for the piece."""
        return self.inputs.get("strips_from") == RESERVED_BOARDS and bool(self.inputs.get("thickness_len"))

    @cached_property
    def lumber_asked(self) -> TopLumber:
        inputs, shop = self.inputs, self.shop
        price = shop["lumber_prices"].get(inputs["species"], shop["price_per_board_foot"])
        own, told = inputs["waste_pct"], inputs.get("grade", NOT_TOLD)
        grade = None if told == NOT_TOLD else told
        return TopLumber(
            **self.sizes,
            quantity=inputs["quantity"],
            stocked=tuple(shop["stocked_thicknesses"]),
            board_width_len=inputs["board_width_len"],
            board_length_len=inputs["board_length_len"],
            trim_len=inputs["trim_length_len"],
            final_trim_len=inputs["trim_width_len"],
            strip_len=strips(self.strips_alike).strip_len,
            **self.ends,
            grade=grade,
            waste_pct=Decimal(own) if own is not None else None if grade else self.number("waste_pct"),
            price_per_bf=Decimal(price) if price is not None else None,
            boards=self.boards if self.from_boards else (),
            random_widths=self.from_boards,
            widest_len=inputs["widest_strip_len"],
        )

    @cached_property
    def lumber(self) -> LumberNeed:
        return top_lumber(self.lumber_asked)

    @cached_property
    def has_ends(self) -> bool:
        """Return whether the route makes breadboard ends."""
        return route(self.inputs["route"]).figures("breadboard")

    @cached_property
    def ends(self) -> Ends:
        if not self.has_ends:
            return {}
        wide = self.inputs.get("end_width_len") or BreadboardEnd.end_wide_len
        deep = self.inputs.get("tongue_depth_len") or usual_tongue_deep(wide)
        return {"end_wide_len": wide, "tongue_deep_len": deep}

    @cached_property
    def layout(self) -> Layout:
        return strips(self.layout_asked)

    @property
    def seasons(self) -> YearlyAir:
        return YearlyAir(
            species=self.wood,
            cut=self.inputs["cut"],
            temp_c=self.number("indoor_c"),
            rh_low_pct=self.number("winter_rh_pct"),
            rh_high_pct=self.number("summer_rh_pct"),
        )

    @cached_property
    def channels_asked(self) -> Stiffeners:
        return Stiffeners(**self.sizes, **self.seasons)

    @cached_property
    def stiffening(self) -> Stiffening:
        return stiffening(self.channels_asked)

    @cached_property
    def stiffened(self) -> Stiffening | None:
        """Return the stiffening channels; None without stiffeners or where refused."""
        return tried(lambda: self.stiffening) if self.inputs["stiffeners"] else None

    @property
    def channels(self) -> tuple[Channel, ...]:
        """Return the stiffening channels as the calculation of weight takes them."""
        if self.stiffened is None:
            return ()
        asked = self.channels_asked
        return (
            Channel(
                count=self.stiffened.count,
                length_len=self.stiffened.channel_len,
                width_len=asked.channel_wide_len,
                leg_len=asked.channel_deep_len,
                wall_len=asked.channel_wall_len,
            ),
        )

    @cached_property
    def glue(self) -> Product:
        return products_for("glue", self.inputs)[0]

    @cached_property
    def finishes(self) -> list[Product]:
        """Return the finish of the face, and that of the underside where it differs."""
        return products_for("finish", self.inputs)

    @property
    def wood(self) -> Any:
        """Return the wood as calculations take it, the shop's own with its figures; None where it is open."""
        name = self.inputs["species"]
        return wood_line(name) if name else name

    def number(self, setting: str) -> Decimal:
        return Decimal(self.shop[setting])


def subject_of(inputs: Mapping[str, Any], piece: Piece | None = None) -> CalculationContext:
    """Return the context with the present settings; clamps held by this piece count as free."""
    owned = Equipment.objects.filter(kind=Equipment.Kind.CLAMP, retired_at=None)
    clamps = []
    for one in owned.prefetch_related("holds__stage"):
        assert one.reach_len is not None, "a clamp has a reach"
        others = (h.count for h in one.holds.all() if piece is None or h.stage.piece_id != piece.id)
        clamps.append(Clamps(kind=one.clamp_kind, reach_len=one.reach_len, owned=one.count, held=sum(others)))
    boards = boards_for(inputs, piece) if inputs.get("strips_from") == RESERVED_BOARDS else ()
    return CalculationContext(inputs=inputs, shop=settings(), clamps=tuple(clamps), boards=boards)


def boards_for(inputs: Mapping[str, Any], piece: Piece | None) -> tuple[Boards, ...]:
    """Return the boards of its wood that are reserved for a piece or used by it, by their measured sizes."""
    if piece is None:
        return ()
    kept = Board.objects.filter(piece=piece.number, step__in=(Board.Step.RESERVED, Board.Step.USED))
    if inputs.get("species"):
        kept = kept.filter(species=inputs["species"])
    return tuple(
        Boards(
            thickness_len=board.thickness_len,
            width_len=board.width_len,
            length_len=board.length_len,
            name=f"board {board.number}",
        )
        for board in kept.order_by("number")
    )


def result_record(asked: Any, found: Any, *notes: str) -> dict[str, Any]:
    """Return inputs, result, notes and sources of one calculation in stored form."""
    figures = _values(found)
    if isinstance(figures.get("seasons"), dict):
        figures["seasons"].pop("source", None)  # the sources are stored once, beside the rest
    return {
        "inputs": _values(asked) if is_dataclass(asked) else asked,
        "notes": [*figures.pop("notes", []), *notes],
        "source": figures.pop("source", []),
        "result": figures,
    }


def nothing_to_do(why: str, **inputs: Any) -> dict[str, Any]:
    """Return the record of a calculation without work: no figures, and why."""
    return {"inputs": inputs, "notes": [why], "source": [PRACTICE], "result": {}}


def tried(find: Callable[[], Found]) -> Found | None:
    """Return the result of another calculation; None where it is refused.

    Its record states the refusal.
    """
    try:
        return find()
    except CalcError:
        return None


def _values(value: Any) -> Any:
    values = asdict(value)
    for name in ("glue", "finish"):
        if isinstance(values.get(name), dict):
            values[name] = values[name]["key"]
    return values
