"""Every calculation of a piece, run on its inputs: results with their sources, or why there is none.

Results are plain values that go into the event. Lengths stay integers under keys ending in ``_len``;
decimals become text.
"""

from collections.abc import Callable, Mapping
from dataclasses import asdict, is_dataclass
from decimal import Decimal
from typing import Any

from calcs.curing import CoatOn, GlueUp, coat_times, glue_times
from calcs.errors import CalcError
from calcs.finishing import FinishPlan, coats
from calcs.layout import StripLayout, strips
from calcs.lifting import people_for
from calcs.lumber import TopLumber, top_lumber
from calcs.movement import Season, season_change
from calcs.weight import TopWeight, weight
from jobs.canonical import plain
from jobs.pieces import board_length, products_for, waste
from jobs.shop import settings

Inputs = Mapping[str, Any]
SIZES = ("length_len", "width_len", "thickness_len")


def compute(inputs: Inputs) -> dict[str, Any]:
    """Results by calculation; one that cannot be made says why."""
    found: dict[str, Any] = {}
    for name, (needs, calculate) in CALCULATIONS.items():
        if any(inputs.get(n) is None for n in needs):
            continue
        try:
            found[name] = calculate(inputs)
        except CalcError as refused:
            found[name] = {
                "refused": str(refused),
                "field": refused.field,
                "value": str(refused.value),
                "allowed": refused.allowed,
            }
    return plain(found, field="computed")  # type: ignore[no-any-return]


def differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Which figures of the results changed: calculation, figure, before, after."""
    changed = []
    for name in sorted(before.keys() | after.keys()):
        old, new = _flat(before.get(name, {})), _flat(after.get(name, {}))
        for figure in sorted(old.keys() | new.keys()):
            if old.get(figure) != new.get(figure):
                changed.append(
                    {
                        "calculation": name,
                        "figure": figure,
                        "before": old.get(figure),
                        "after": new.get(figure),
                    }
                )
    return changed


def _flat(kept: Mapping[str, Any]) -> dict[str, Any]:
    if "refused" in kept:
        return {"refused": kept["refused"]}
    result = kept.get("result", {})
    return {k: v for k, v in result.items() if not isinstance(v, list | dict)}


def _kept(asked: Any, result: Any) -> dict[str, Any]:
    """Inputs, result, notes and sources of one calculation, as they are kept."""
    figures = _values(result)
    return {
        "inputs": _values(asked) if is_dataclass(asked) else asked,
        "notes": figures.pop("notes", []),
        "source": figures.pop("source", []),
        "result": figures,
    }


def _values(value: Any) -> Any:
    values = asdict(value)
    for name in ("glue", "finish"):
        if isinstance(values.get(name), dict):
            values[name] = values[name]["key"]
    return values


def _lumber(inputs: Inputs) -> dict[str, Any]:
    price = settings()["price_per_board_foot"]
    asked = TopLumber(
        **{n: inputs[n] for n in SIZES},
        quantity=inputs["quantity"],
        board_width_len=inputs["board_width_len"],
        board_length_len=board_length(inputs),
        trim_len=inputs["trim_length_len"],
        strip_len=_layout_of(inputs)[1].strip_len,
        waste_pct=waste(inputs),
        price_per_bf=Decimal(price) if price is not None else None,
    )
    return _kept(asked, top_lumber(asked))


def _layout_of(inputs: Inputs) -> tuple[StripLayout, Any]:
    asked = StripLayout(
        width_len=inputs["width_len"],
        length_len=inputs["length_len"],
        widest_len=inputs["widest_strip_len"],
        final_trim_len=inputs["trim_width_len"],
        ring_direction=inputs["ring_direction"],
        lost_len=inputs.get("lost_width_len", 0),
        prefer=None if inputs["prefer"] == "either" else inputs["prefer"],
    )
    return asked, strips(asked)


def _layout(inputs: Inputs) -> dict[str, Any]:
    return _kept(*_layout_of(inputs))


def _movement(inputs: Inputs) -> dict[str, Any]:
    shop = settings()
    asked = Season(
        size_len=inputs["width_len"],
        species=inputs["species"],
        cut=inputs["cut"],
        temp_c=Decimal(shop["indoor_c"]),
        rh_low=Decimal(shop["winter_rh_pct"]),
        rh_high=Decimal(shop["summer_rh_pct"]),
    )
    return _kept(asked, season_change(asked))


def _curing(inputs: Inputs) -> dict[str, Any]:
    glue = products_for("glue", inputs)[0]
    assert glue.glue is not None
    asked = GlueUp(glue=glue.glue, temp_c=Decimal(settings()["shop_c"]))
    kept = _kept(asked, glue_times(asked))
    kept["inputs"]["sheet_version"] = glue.version
    return kept


def _finishing(inputs: Inputs) -> dict[str, Any]:
    face, *under = products_for("finish", inputs)
    assert face.finish is not None
    asked = FinishPlan(
        **{n: inputs[n] for n in SIZES},
        quantity=inputs["quantity"],
        finish=face.finish,
        sealing_coats=inputs["sealing_coats"],
        build_coats=inputs["build_coats"],
    )
    kept = _kept(asked, coats(asked))
    air = CoatOn(
        finish=face.finish,
        temp_c=Decimal(settings()["shop_c"]),
        rh_pct=Decimal(settings()["shop_rh_pct"]),
        allow=True,
    )
    times = _kept(air, coat_times(air))
    kept["inputs"]["sheet_version"] = face.version
    warnings = [*kept["result"]["warnings"], *times["result"]["warnings"]]
    kept["result"] |= {**times["result"], "warnings": warnings}
    kept["source"] = [*kept["source"], *times["source"]]
    if under:
        kept["notes"] = [
            *kept["notes"],
            f"underside: {under[0].sheet.name}; figured here with the face's finish",
        ]
    return kept


def _weight(inputs: Inputs) -> dict[str, Any]:
    asked = TopWeight(**{n: inputs[n] for n in SIZES}, quantity=inputs["quantity"], species=inputs["species"])
    return _kept(asked, weight(asked))


def _lifting(inputs: Inputs) -> dict[str, Any]:
    each = weight(TopWeight(**{n: inputs[n] for n in SIZES}, species=inputs["species"])).each_lb
    return _kept({"weight_lb": each}, people_for(weight_lb=each))


TOP = (*SIZES, "species")
CALCULATIONS: dict[str, tuple[tuple[str, ...], Callable[[Inputs], dict[str, Any]]]] = {
    "lumber": (SIZES, _lumber),
    "layout": (("length_len", "width_len"), _layout),
    "movement": (("width_len", "species"), _movement),
    "curing": (("glue",), _curing),
    "finishing": (SIZES, _finishing),
    "weight": (TOP, _weight),
    "lifting": (TOP, _lifting),
}
"""Which calculations there are, what each needs, and how it is made."""
