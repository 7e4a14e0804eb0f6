"""Loaded top as a bent beam: stiffness, deflection of each stretch, bending stress.

References
----------
.. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 9, eq. 9-1.
.. [2] EN 338: shear modulus 1/16 of the modulus of elasticity (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Annotated

from calcs.asking.figures import Figure
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
    """One span or overhang.

    Attributes
    ----------
    name : str
        "span 1", "left overhang" and so on.
    long_len : int
        Length [1/8 µm].
    sag_len, later_len : int
        Largest sag at once and for good, down positive [1/8 µm].
    at_len : int
        Place of the largest sag at once [1/8 µm].
    part_of_span : Decimal
        Sag for good over the span, or over twice an overhang, to 0.00001.
    """

    name: Annotated[str, Figure("Name")]
    long_len: Annotated[int, Figure("Long")]
    sag_len: Annotated[int, Figure("Sag at first")]
    later_len: Annotated[int, Figure("Sag in years")]
    at_len: Annotated[int, Figure("Where, from the left end")]
    part_of_span: Annotated[Decimal, Figure("Part of the span")]


def elasticity_mpa(top: LoadedTop, wood: Stiffness | None) -> float:
    """Return the modulus of the bending term [MPa].

    Parameters
    ----------
    top : LoadedTop
        An own modulus, and whether shear counts.
    wood : Stiffness or None
        Tabled modulus; None for an own one.

    Notes
    -----
    A tabled modulus still holds the shear of its test. Where shear is counted apart it is raised by 10 %. An
    own modulus is taken as it is.

    References
    ----------
    .. [1] Hardwood Manufacturers Association, note (c) to the strength table (read).
    """
    if wood is None:
        return float(top.stiffness_mpa or 0)
    return float(wood.elasticity_mpa) * (SHEAR_FREE if top.shear else 1.0)


def bent_top(top: LoadedTop, wood: Stiffness | None, share: Decimal) -> Bent:
    """Return the top bent under all it carries, and ``share`` more of what stays.

    Parameters
    ----------
    top : LoadedTop
        Size, supports [1/8 µm] and loads [kg].
    wood : Stiffness or None
        Stiffness of the species; None for an own modulus.
    share : Decimal
        Creep: more of the lasting loads, as a fraction.

    Notes
    -----
    EI = E b h³ / 12; GA = (E / 16) (5/6) b h, or infinite without shear; load = mass x 9.80665 m/s².
    """
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
    """Return every span and overhang with its sag.

    Parameters
    ----------
    top : LoadedTop
        Length and supports [1/8 µm].
    whole, later : Bent
        The top under its whole load, and with the creep of what stays.

    Raises
    ------
    OutOfRange
        If one sags more than 1/50 of its length, twice that of an overhang.
    """
    marks = (0, *top.supports_len, top.length_len)
    ends = {0: "left overhang", len(marks) - 2: "right overhang"}
    return tuple(
        _stretch(ends.get(n, f"span {n}"), left, right, whole, later)
        for n, (left, right) in enumerate(pairwise(marks))
        if right > left
    )


def _stretch(name: str, left: int, right: int, whole: Bent, later: Bent) -> Stretch:
    """Return one span or overhang with its largest sag, at once and for good."""
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
    """Return a length [m] in units of 1/8 µm."""
    return round(metres * 1000 * UNITS_PER_MM)


def stress_mpa(top: LoadedTop, whole: Bent) -> float:
    """Return the bending stress at the face [MPa].

    Notes
    -----
    σ = M / (b h² / 6), with M the moment of the largest magnitude.
    """
    section = to_metres(top.width_len) * to_metres(top.thickness_len) ** 2 / 6
    return abs(whole.largest_moment()) / section / 1e6
