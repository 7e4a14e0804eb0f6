"""Lumber, strips, movement, weight and lifting of a top."""

from typing import Any

from calcs.handling.lift_top import TopLift, lift_top
from calcs.wood.season_change import Season
from calcs.wood.weight import TopWeight, weight
from jobs.domain.pieces.context import CalculationContext, result_record

UNWEIGHED = "steel not counted: the stiffeners could not be figured"


def lumber(piece: CalculationContext) -> dict[str, Any]:
    return result_record(piece.lumber_asked, piece.lumber)


def layout(piece: CalculationContext) -> dict[str, Any]:
    return result_record(piece.layout_asked, piece.layout)


def movement(piece: CalculationContext) -> Season:
    return Season(
        size_len=piece.inputs["width_len"],
        species=piece.wood,
        cut=piece.inputs["cut"],
        temp_c=piece.number("indoor_c"),
        rh_low=piece.number("winter_rh_pct"),
        rh_high=piece.number("summer_rh_pct"),
    )


def heaviness(piece: CalculationContext) -> dict[str, Any]:
    asked = weighed(piece)
    return result_record(asked, weight(asked), *_unweighed(piece))


def lifting(piece: CalculationContext) -> dict[str, Any]:
    asked = TopLift(
        **piece.sizes,
        species=piece.wood,
        channels=piece.channels,
        people=piece.shop["people_at_hand"],
    )
    made = result_record(asked, lift_top(asked), *_unweighed(piece))
    told = weight(weighed(piece)).source  # the record of the weight names these sources
    made["source"] = [source for source in made["source"] if source not in told]
    return made


def weighed(piece: CalculationContext) -> TopWeight:
    return TopWeight(
        **piece.sizes,
        quantity=piece.inputs["quantity"],
        species=piece.wood,
        channels=piece.channels,
    )


def _unweighed(piece: CalculationContext) -> tuple[str, ...]:
    return (UNWEIGHED,) if piece.inputs["stiffeners"] and not piece.channels else ()
