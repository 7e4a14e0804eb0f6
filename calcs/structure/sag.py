"""Sag of a top between its supports and over its ends, at once and for good.

The top bends as a straight beam across its whole width. Lasting loads sag on for years: creep. This is no
proof of strength.

Notes
-----
Limits, common practice, no source:

=========================================  =====================
sag that is seen                           1/600 of the span
largest sag that the law holds for         1/50 of the span
bending stress with a warning              1/8 of the strength
largest bending stress                     1/2 of the strength
spread of wood around the mean             1/5 either way
=========================================  =====================

References
----------
.. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 9, eq. 9-1 and table 9-1.
.. [2] EN 1995-1-1:2004, 2.2.3 and table 3.2: creep 0.6 in service class 1, 0.8 in class 2 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import places
from calcs.kit.units import both_units
from calcs.materials.species import species
from calcs.structure.beam import Bent
from calcs.structure.bent_top import LESS, Stretch, bent_top, elasticity_mpa, stress_mpa, stretches_of
from calcs.structure.loaded_top import CREEP, LoadedTop
from calcs.tables import PRACTICE
from calcs.wood.density import RULE
from calcs.wood.stiffness import Stiffness, stiffness

SEEN = Decimal(1) / 600
STRAINED = 1 / 8
ELASTIC = 1 / 2
CAUTIONS = (
    "not covered: shock, somebody standing or sitting on it, vibration, joints and fixings, knots and"
    " cross grain, legs without a rail across the width; this is no proof of strength",
    "where somebody could be hurt a structural engineer and the local code decide",
)
BEAM = "beam deflection with shear, uniform section: Wood Handbook FPL-GTR-190 (2010) ch. 9, equation 9-1"
CREEP_SOURCE = (
    "lasting load sags on: EN 1995-1-1 (2004) table 3.2, solid timber, 0.60 in service class 1,"
    " 0.80 in class 2 (from memory)"
)
SHEAR_SOURCE = (
    "+10 % on the tabled modulus takes its own shear out: Hardwood Manufacturers Association, note (c) to"
    " the strength table (read); shear modulus 1/16 of it: EN 338 (from memory)"
)


@dataclass(frozen=True, kw_only=True)
class Sag:
    """The bent top.

    Attributes
    ----------
    sag_len, later_len : int
        Largest sag at once, and of the worst stretch for good [1/8 µm]; down is positive.
    stretches : tuple of Stretch
        Every span and overhang.
    total_kg : Decimal
        Whole load, to 0.1 [kg].
    moment_nm, stress_mpa : Decimal
        Largest moment and bending stress of the whole load, to 0.1 N·m and 0.01 MPa.
    reactions_n : tuple of Decimal
        Upward forces of the supports under the whole load, to 0.1 [N].
    elasticity_mpa : Decimal
        Modulus that the bending is computed with, to 1 [MPa].
    creep : Decimal
        Share by which lasting loads sag on.
    warnings, notes, cautions, source : tuple of str
        Sentences for the maker, and the sources.
    """

    sag_len: Annotated[int, Figure("Sag at first")]
    later_len: Annotated[int, Figure("Sag in years")]
    stretches: Annotated[tuple[Stretch, ...], Figure("Stretch by stretch")]
    total_kg: Annotated[Decimal, Figure("Load in all")]
    moment_nm: Annotated[Decimal, Figure("Greatest bending moment")]
    stress_mpa: Annotated[Decimal, Figure("Greatest bending stress")]
    reactions_n: Annotated[tuple[Decimal, ...], Figure("On each support")]
    elasticity_mpa: Annotated[Decimal, Figure("Stiffness along the grain")]
    creep: Annotated[Decimal, Figure("Added by years of load")]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    source: tuple[str, ...]


def sag(top: LoadedTop) -> Sag:
    """Return the deflection of a top between supports and over its ends.

    Parameters
    ----------
    top : LoadedTop
        Size and supports [1/8 µm], wood, loads [kg] and climate.

    Returns
    -------
    Sag
        Lengths to the nearest 1/8 µm of the sums; wood varies by a fifth either way.

    Raises
    ------
    OutOfRange
        If the sag is more than 1/50 of its span, or the bending stress more than half of what breaks the
        wood. There the straight-line law does not hold.
    Unknown
        If the tables hold no modulus of the species.

    Notes
    -----
    For one simple span with a uniform load: sag = 5 w L⁴ / (384 E I) + w L² / (8 G A'), with A' = 5/6 b h.
    Lasting loads sag on by the factor of the climate: later = at once + factor x sag of the lasting loads.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 9, eq. 9-1 and table 9-1.
    .. [2] EN 1995-1-1:2004, 2.2.3 and table 3.2 (from memory).
    .. [3] Hardwood Manufacturers Association, note (c) to the strength table: 10 % for shear (read).
    """
    wood = stiffness(top.species) if top.stiffness_mpa is None and top.species is not None else None
    whole, later = (bent_top(top, wood, share) for share in (Decimal(0), CREEP[top.climate]))
    stretches = stretches_of(top, whole, later)
    worst = max(stretches, key=lambda each: abs(each.later_len))
    none, stress = Decimal(0), stress_mpa(top, whole)
    _check_elastic(stress, wood)
    return Sag(
        sag_len=max((each.sag_len for each in stretches), key=abs),
        later_len=worst.later_len,
        stretches=stretches,
        total_kg=places(top.spread_kg(none) + sum(mass for _, mass in top.lines_kg(none)), 1),
        moment_nm=places(whole.largest_moment(), 1),
        stress_mpa=places(stress, 2),
        reactions_n=tuple(places(each, 1) for each in whole.reactions),
        elasticity_mpa=places(elasticity_mpa(top, wood), 0),
        creep=CREEP[top.climate],
        warnings=_warnings(top, stretches, whole, stress, wood),
        notes=_notes(top, wood),
        cautions=CAUTIONS,
        source=_sources(top, wood),
    )


def _check_elastic(stress: float, wood: Stiffness | None) -> None:
    """Refuse a bending stress of more than half the modulus of rupture.

    Parameters
    ----------
    stress : float
        Bending stress [MPa].
    wood : Stiffness or None
        Strength of the species; None, for an own modulus, is not checked.

    Raises
    ------
    OutOfRange
    """
    if wood and wood.rupture_mpa and stress > ELASTIC * float(wood.rupture_mpa):
        raise OutOfRange(
            f"load strains the wood to {stress:.0f} MPa, more than half of the {wood.rupture_mpa} MPa that"
            " break it: this law does not hold there",
            field="load",
            value=f"{stress:.0f} MPa",
            allowed=LESS,
        )


def _warnings(
    top: LoadedTop, stretches: tuple[Stretch, ...], whole: Bent, stress: float, wood: Stiffness | None
) -> tuple[str, ...]:
    """Return warnings: a sag that is seen, a support that lifts, a stress over an eighth of the strength.

    Parameters
    ----------
    stretches : tuple of Stretch
        Spans and overhangs.
    whole : Bent
        The top under its whole load.
    stress : float
        Bending stress [MPa].
    wood : Stiffness or None
        Strength of the species.
    """
    found = [
        f"{each.name}: {both_units(abs(each.later_len))} will be seen, more than 1/600 of its span"
        for each in stretches
        if each.part_of_span > SEEN
    ]
    lifted = [both_units(x) for x, up in zip(top.supports_len, whole.reactions, strict=True) if up < -1e-6]
    if lifted:
        found.append(f"the top lifts off the support at {', '.join(lifted)} unless it is fastened there")
    if wood and wood.rupture_mpa and stress > STRAINED * float(wood.rupture_mpa):
        found.append(
            f"bending stress {stress:.1f} MPa is more than an eighth of the wood's strength: have it checked"
        )
    return tuple(found)


def _notes(top: LoadedTop, wood: Stiffness | None) -> tuple[str, ...]:
    """Return notes on creep, spread of wood, supports and loads left out."""
    notes = [
        f"creep: lasting loads add {CREEP[top.climate]} of their sag at once over the years ({top.climate})",
        "mean of the species at 12 % moisture, clear wood: a top may bend a fifth more or less",
        "counted with supports across the whole width",
    ]
    if wood is None or wood.rupture_mpa is None:
        notes.append("strength not known: the bending stress is held against nothing")
    if not top.own_weight:
        notes.append("own weight not counted")
    if not top.load_stays or any(not point.stays for point in top.points):
        notes.append("creep leaves out loads that do not stay")
    return tuple(notes)


def _sources(top: LoadedTop, wood: Stiffness | None) -> tuple[str, ...]:
    """Return the sources of modulus, weight, beam, shear and creep."""
    modulus = wood.source if wood is not None else ("modulus of elasticity: your own value",)
    shear = (SHEAR_SOURCE,) if top.shear else ()
    own = (
        (f"own weight: {species(top.species).gravity_source}", RULE) if top.own_weight and top.species else ()
    )
    return (
        *modulus,
        *own,
        BEAM,
        *shear,
        CREEP_SOURCE,
        f"1/600 of the span (0.02 in a foot) is seen, limits of stress, a fifth either way: {PRACTICE}",
    )
