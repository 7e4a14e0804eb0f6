"""Amount of finish that tops take: areas, coats, litres, cans.

Sealing coats go all round, build coats on the show face. Each coat covers by the sheet's coverage, or by the
film that is wanted, less what is lost.

References
----------
.. [1] NIST SP 811, 2008, appendix B.8: units of area and volume.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.finish.finish_plan import FinishPlan, areas_m2, counts, films_um, practical_m2_per_l
from calcs.kit.rounding import places, up
from calcs.materials.product_sheets import Finish
from calcs.tables import PRACTICE

LACQUER_MOST_UM = Decimal("76.2")
FILM_RULE = "1 L at 1 µm covers 1000 m² (1 US gal at 1 mil 1604 ft²), by definition"


@dataclass(frozen=True, kw_only=True)
class Coats:
    """Amount of finish for all tops.

    Attributes
    ----------
    sealing_coats, build_coats : int
        Coats all round, and on the show face besides.
    face_m2, all_round_m2 : Decimal
        Show faces; both faces, edges and ends, to 0.01 [m²].
    sealing_coat_l, build_coat_l, total_l : Decimal
        One coat of either kind as it is laid, and the finish of all of them without thinner, to 0.01 [L].
    thinner_l : Decimal
        Thinner of all coats, to 0.01 [L].
    covers_m2_per_l : Decimal
        Area that a litre as it is laid covers, less what is lost, to 0.001 [m²/L].
    cans : int
        Cans of ``can_l`` to buy.
    can_l : Decimal
        Size of the can [L].
    wet_um, dry_um : Decimal or None
        Wet and dry film of one coat, to 0.01 [µm]; None where it soaks in or the solids are not known.
    film_um : Decimal or None
        Dry film of all coats on the show face, to 1 [µm]; None where ``dry_um`` is.
    warnings, notes, source : tuple of str
        Sentences for the maker, and the sources.
    """

    sealing_coats: Annotated[int, Figure("Sealing coats, all round")]
    build_coats: Annotated[int, Figure("Build coats, face")]
    face_m2: Annotated[Decimal, Figure("Face")]
    all_round_m2: Annotated[Decimal, Figure("All round")]
    sealing_coat_l: Annotated[Decimal, Figure("A sealing coat")]
    build_coat_l: Annotated[Decimal, Figure("A build coat")]
    total_l: Annotated[Decimal, Figure("In all")]
    thinner_l: Annotated[Decimal, Figure("Thinner in all", quiet=True)]
    covers_m2_per_l: Annotated[Decimal, Figure("Covers, after loss")]
    cans: Annotated[int, Figure("Cans to buy")]
    can_l: Annotated[Decimal, Figure("Size of a can")]
    wet_um: Annotated[Decimal | None, Figure("Wet film of a coat")]
    dry_um: Annotated[Decimal | None, Figure("Dry film of a coat")]
    film_um: Annotated[Decimal | None, Figure("Dry film on the face")]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def coats(plan: FinishPlan) -> Coats:
    """Return areas, litres a coat and in all, and cans to buy.

    Parameters
    ----------
    plan : FinishPlan
        Sizes [1/8 µm], finish, coats and loss [%].

    Returns
    -------
    Coats
        With a warning where the show face gets more than one coat more than the back. Unequal films let
        moisture in unequally, so that wants a reason.

    Notes
    -----
    Laid = (all round x sealing coats + face x build coats) / (coverage x (1 - loss)); finish = laid / (1 +
    thinning), the rest is thinner. Every coat is counted at the sheet's coverage, or at that of the film
    wanted: 1000 / wet film [µm]. Dry film = wet x solids / (1 + thinning). Bare wood takes more on the first.

    References
    ----------
    .. [1] The sheet of the finish: coverage, coats, solids; carried into ``source``.
    .. [2] Data sheet of a nitrocellulose lacquer (read): over 3 mil dry it cracks.
    .. [3] Loss, and one coat more on the face: common practice, no source.
    """
    finish = plan.finish
    sealing, build = counts(plan)
    face, around = areas_m2(plan)
    spread = practical_m2_per_l(plan)
    total = litres(plan)
    wet, dry = films_um(plan)
    film = None if dry is None else places((sealing + build) * Fraction(dry), 0)
    return Coats(
        sealing_coats=sealing,
        build_coats=build,
        face_m2=places(face, 2),
        all_round_m2=places(around, 2),
        sealing_coat_l=places(around / spread, 2),
        build_coat_l=places(face / spread, 2),
        total_l=places(total, 2),
        thinner_l=places(total * Fraction(plan.thinning_pct) / 100, 2),
        covers_m2_per_l=places(spread, 3),
        cans=up(total / Fraction(plan.can_l)),
        can_l=plan.can_l,
        wet_um=wet,
        dry_um=dry,
        film_um=film,
        warnings=_warnings(finish, build, film),
        notes=(
            "equal sealing coats on both faces, edges, ends and recesses",
            "bare wood takes more on the first coat",
        ),
        source=(
            _coverage_source(plan),
            f"coats: {finish.source.get('sealing_coats', '')}",
            f"loss: {PRACTICE}",
            FILM_RULE,
        ),
    )


def litres(plan: FinishPlan) -> Fraction:
    """Return the finish for every coat of all tops with what is lost, without thinner, unrounded [L].

    Notes
    -----
    (whole surface x sealing coats + face x build coats) / (coverage x (1 - loss)) / (1 + thinning).
    """
    (sealing, build), (face, around) = counts(plan), areas_m2(plan)
    laid = (around * sealing + face * build) / practical_m2_per_l(plan)
    return laid / (1 + Fraction(plan.thinning_pct) / 100)


def _coverage_source(plan: FinishPlan) -> str:
    """Return the source of the coverage: the sheet, or the film wanted.

    Parameters
    ----------
    plan : FinishPlan
        Finish with the sources of its figures.
    """
    if plan.dry_coat_um is not None:
        return f"coverage: from the film wanted; {FILM_RULE}"
    return f"coverage: {plan.finish.source.get('coverage_m2_per_l', '')}"


def _warnings(finish: Finish, build: int, film: Decimal | None) -> tuple[str, ...]:
    """Return warnings: many coats more on the face, lacquer too thick."""
    warnings = []
    if build > 1:
        warnings.append(
            f"{build} coats more on the face than below: more than one wants a reason ({PRACTICE})"
        )
    if finish.family == "lacquer" and film is not None and film > LACQUER_MOST_UM:
        warnings.append(
            f"{film} µm dry is more than {LACQUER_MOST_UM} µm (3 mil): thicker lacquer cracks"
            " (data sheet of a nitrocellulose lacquer, read)"
        )
    return tuple(warnings)
