"""Every calculation of a piece, run on its inputs: results with sources, or why there is none.

Results are plain values for the event. Lengths stay integers under keys ending in ``_len``; decimals become
text.
"""

from collections.abc import Callable, Mapping
from typing import Any

from calcs.kit.errors import CalcError
from jobs.core.canonical_json import plain
from jobs.domain.pieces import joints, lumber, surfaces
from jobs.domain.pieces.context import SIZES, CalculationContext, subject_of
from jobs.models import Piece

PRICES = ("price_per_bf", "cost")
"""Figures of a calculation that only the owner sees."""

TOP = (*SIZES, "species")
CALCULATIONS: dict[str, tuple[tuple[str, ...], Callable[[CalculationContext], dict[str, Any] | None]]] = {
    "lumber": (SIZES, lumber.lumber),
    "layout": (("length_len", "width_len"), lumber.layout),
    "joinery": (SIZES, joints.joinery),
    "gluing": (SIZES, joints.glue_lines),
    "clamping": (TOP, joints.clamps),
    "movement": (("width_len", "species"), lumber.movement),
    "curing": (("glue",), joints.curing),
    "stiffening": (TOP, surfaces.stiffeners),
    "breadboard": (TOP, surfaces.breadboard_ends),
    "sanding": (SIZES, surfaces.grits),
    "finishing": (SIZES, surfaces.finish),
    "weight": (TOP, lumber.heaviness),
    "lifting": (TOP, lumber.lifting),
    "flips": (SIZES, surfaces.turns),
}
"""Name -> the inputs it needs and its function; the function returns None where it does not apply."""


def compute(inputs: Mapping[str, Any], piece: Piece | None = None) -> dict[str, Any]:
    """Return results by calculation; a refused calculation says why.

    ``piece`` is the piece that is recalculated, where it exists already.
    """
    subject = subject_of(inputs, piece)
    found: dict[str, Any] = {}
    for name, (needs, calculate) in CALCULATIONS.items():
        if any(inputs.get(n) is None for n in needs):
            continue
        try:
            made = calculate(subject)
        except CalcError as refused:
            made = {
                "refused": str(refused),
                "field": refused.field,
                "value": str(refused.value),
                "allowed": refused.allowed,
            }
        if made is not None:
            found[name] = made
    return plain(found, field="computed")  # type: ignore[no-any-return]


def differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the figures that changed: calculation, figure, before, after."""
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
