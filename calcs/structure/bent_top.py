"""A loaded top as a bent beam: stiffness, stretches, stress."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import places
from calcs.kit.units import UNITS_PER_MM, to_metres
from calcs.structure.beam import Bent, bend
from calcs.structure.beam_pieces import Beam
from calcs.structure.loaded_top import LoadedTop
from calcs.wood.stiffness import Stiffness

GRAVITY = 9.80665
SHEAR_FREE = 1.10
STIFFNESS_TO_SHEAR = 16
FORM = 5 / 6
SMALL = 1 / 50
LESS = "a thicker top, closer supports or less load"


@dataclass(frozen=True, kw_only=True)
class Stretch:
    """One span or overhang: its largest sag, at once and for good, down positive, and where [1/8 µm].

    ``part_of_span`` is the sag for good over the span, or over twice an overhang.
    """

    name: str
    long_len: int
    sag_len: int
    later_len: int
    at_len: int
    part_of_span: Decimal


def elasticity_mpa(top: LoadedTop, wood: Stiffness | None) -> float:
    """Modulus [MPa] of the bending term: a tabled one without its own shear where shear is counted apart."""
    if wood is None:
        return float(top.stiffness_mpa or 0)
    return float(wood.elasticity_mpa) * (SHEAR_FREE if top.shear else 1.0)


def bent_top(top: LoadedTop, wood: Stiffness | None, share: Decimal) -> Bent:
    """The top under all it carries, and ``share`` more of what stays."""
    width, thick = to_metres(top.width_len), to_metres(top.thickness_len)
    stiff = elasticity_mpa(top, wood) * 1e6
    beam = Beam(
        length=to_metres(top.length_len),
        supports=tuple(to_metres(place) for place in top.supports_len),
        ei=stiff * width * thick**3 / 12,
        ga=stiff / STIFFNESS_TO_SHEAR * FORM * width * thick if top.shear else float("inf"),
        clamped=top.held == "clamped",
    )
    points = [(to_metres(at), mass * GRAVITY) for at, mass in top.lines_kg(share)]
    return bend(beam, uniform=top.spread_kg(share) * GRAVITY / beam.length, points=points)


def stretches_of(top: LoadedTop, whole: Bent, later: Bent) -> tuple[Stretch, ...]:
    marks = (0, *top.supports_len, top.length_len)
    ends = {0: "left overhang", len(marks) - 2: "right overhang"}
    return tuple(
        _stretch(ends.get(n, f"span {n}"), left, right, whole, later)
        for n, (left, right) in enumerate(pairwise(marks))
        if right > left
    )


def _stretch(name: str, left: int, right: int, whole: Bent, later: Bent) -> Stretch:
    at, now = whole.deepest(to_metres(left), to_metres(right))
    _, then = later.deepest(to_metres(left), to_metres(right))
    span = to_metres(right - left) * (1 if name.startswith("span") else 2)
    if abs(then) > span * SMALL:
        raise OutOfRange(
            f"load bends the {name} by more than 1/50 of its length: beyond what this law holds for",
            field="load",
            value=name,
            allowed=LESS,
        )
    return Stretch(
        name=name,
        long_len=right - left,
        sag_len=_units(now),
        later_len=_units(then),
        at_len=_units(at),
        part_of_span=places(abs(then) / span, 5),
    )


def _units(metres: float) -> int:
    return round(metres * 1000 * UNITS_PER_MM)


def stress_mpa(top: LoadedTop, whole: Bent) -> float:
    """Bending stress at the face [MPa]."""
    section = to_metres(top.width_len) * to_metres(top.thickness_len) ** 2 / 6
    return abs(whole.largest_moment()) / section / 1e6
