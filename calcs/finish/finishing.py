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

from calcs.asking.field_types import Length, Number, Percent, Product, Whole
from calcs.asking.figures import Figure
from calcs.asking.inputs import check
from calcs.finish.films import dry_film_um, reaching, wet_film_of_spread_um, wet_film_um
from calcs.kit.errors import OutOfRange, Unreadable
from calcs.kit.rounding import places, up
from calcs.kit.typed import out_of_range
from calcs.kit.units import UNITS_PER_MM, inches
from calcs.materials.product_sheets import Finish
from calcs.tables import PRACTICE

LACQUER_MOST_UM = Decimal("76.2")
MOST_WET_UM = 5000
FILM_RULE = "1 L at 1 µm covers 1000 m² (1 US gal at 1 mil 1604 ft²), by definition"

LENGTH = Length("finished length", inches("1/8"), inches(480))
WIDTH = Length("finished width", inches("1/8"), inches(240))
THICKNESS = Length("finished thickness", inches("1/8"), inches(12))
QUANTITY = Whole("how many", 1, 1000)
SEALING = Whole("sealing coats, all round", 1, 20)
BUILD = Whole("build coats, on the show face besides", 0, 20)
LOSS = Percent("left in pad, brush, pot and air", "0", "95")
CAN = Number("can", "0.01", "250", "L")
SOLIDS = Percent("solids by volume, in place of the sheet's", "1", "100")
THINNING = Percent("thinner, of the volume of finish", "0", "200")
DRY_COAT = Number("dry film wanted of a coat", "1", "5000", "µm")

_SQUARE_METRE = (UNITS_PER_MM * 1000) ** 2


@dataclass(frozen=True, kw_only=True)
class FinishPlan:
    """Tops to be finished.

    Parameters
    ----------
    length_len, width_len, thickness_len : int
        Finished size [1/8 µm].
    quantity : int
        Tops alike.
    finish : Finish
        Product sheet.
    sealing_coats, build_coats : int, optional
        Coats all round, and on the show face besides; the finish's usual ones by default.
    loss_pct : Decimal
        Of the finish, left in pad, brush, pot and air [%]; 10 by default.
    can_l : Decimal
        Size of the can [L]; a US quart by default.
    solids_pct : Decimal, optional
        Solids by volume [%], in place of the sheet's.
    thinning_pct : Decimal
        Thinner added [% of the volume of finish].
    dry_coat_um : Decimal, optional
        Dry film wanted of a coat [µm]; it gives the coverage in place of the sheet's.

    Raises
    ------
    Unreadable, OutOfRange
        Also where a film is wanted of a finish that soaks in, or whose solids are not known.
    """

    length_len: Annotated[int, LENGTH, Figure("Length")]
    width_len: Annotated[int, WIDTH, Figure("Width")]
    thickness_len: Annotated[int, THICKNESS, Figure("Thickness")]
    quantity: Annotated[int, QUANTITY] = 1
    finish: Annotated[Finish, Product("finish", Finish)]
    sealing_coats: Annotated[int | None, SEALING] = None
    build_coats: Annotated[int | None, BUILD, Figure("Build coats, face")] = None
    loss_pct: Annotated[Decimal, LOSS, Figure("Loss")] = Decimal(10)
    can_l: Annotated[Decimal, CAN, Figure("Size of a can")] = Decimal("0.946")
    solids_pct: Annotated[Decimal | None, SOLIDS] = None
    thinning_pct: Annotated[Decimal, THINNING, Figure("Thinner", quiet=True)] = Decimal(0)
    dry_coat_um: Annotated[Decimal | None, DRY_COAT, Figure("Dry film wanted of a coat")] = None

    def __post_init__(self) -> None:
        check(self)
        if self.dry_coat_um is not None:
            _check_film(self)


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


def counts(plan: FinishPlan) -> tuple[int, int]:
    """Return sealing and build coats: those given, else the finish's usual ones."""
    finish = plan.finish
    sealing = finish.sealing_coats if plan.sealing_coats is None else plan.sealing_coats
    return sealing, finish.build_coats if plan.build_coats is None else plan.build_coats


def areas_m2(plan: FinishPlan) -> tuple[Fraction, Fraction]:
    """Return the show faces of all tops, and their whole surface: both faces, edges and ends [m²].

    Notes
    -----
    Face = length x width; whole = 2 face + 2 thickness (length + width); both times the number of tops.
    """
    face = Fraction(plan.length_len * plan.width_len, _SQUARE_METRE) * plan.quantity
    rim = Fraction(2 * plan.thickness_len * (plan.length_len + plan.width_len), _SQUARE_METRE) * plan.quantity
    return face, 2 * face + rim


def litres(plan: FinishPlan) -> Fraction:
    """Return the finish for every coat of all tops with what is lost, without thinner, unrounded [L].

    Notes
    -----
    (whole surface x sealing coats + face x build coats) / (coverage x (1 - loss)) / (1 + thinning).
    """
    (sealing, build), (face, around) = counts(plan), areas_m2(plan)
    laid = (around * sealing + face * build) / practical_m2_per_l(plan)
    return laid / (1 + Fraction(plan.thinning_pct) / 100)


def practical_m2_per_l(plan: FinishPlan) -> Fraction:
    """Return what a litre as it is laid covers, less what is lost [m²/L].

    Parameters
    ----------
    plan : FinishPlan
        Finish with its coverage, or the dry film wanted [µm], and what is lost [%].

    Notes
    -----
    Coverage of the sheet, or 1000 / wet film [µm] of the dry film wanted; times 1 - loss.
    """
    wet = _wanted_wet_um(plan)
    spread = Fraction(plan.finish.coverage_m2_per_l) if wet is None else 1000 / Fraction(wet)
    return reaching(spread, 100 - plan.loss_pct)


def films_um(plan: FinishPlan) -> tuple[Decimal | None, Decimal | None]:
    """Return wet and dry film of one coat [µm]; None where it soaks in or the solids are not known.

    Parameters
    ----------
    plan : FinishPlan
        Finish with its coverage, solids and thinner [%], or the dry film wanted [µm].

    Notes
    -----
    Wet = 1000 / coverage [m²/L], or the wet film that leaves the dry film wanted. Dry = wet x solids / (1 +
    thinning).

    References
    ----------
    .. [1] Coatings maker, estimating guide on calculation and conversion (undated, name withheld).
    """
    finish = plan.finish
    if not finish.film:
        return None, None
    wet = _wanted_wet_um(plan) or wet_film_of_spread_um(m2_per_l=finish.coverage_m2_per_l)
    solids = _solids_pct(plan)
    if solids is None:
        return wet, None
    return wet, dry_film_um(wet_um=wet, solids_pct=solids, thinning_pct=plan.thinning_pct)


def _wanted_wet_um(plan: FinishPlan) -> Decimal | None:
    """Return the wet film of the dry film wanted [µm]; None where none is.

    Parameters
    ----------
    plan : FinishPlan
        Dry film wanted [µm], solids and thinner [%].
    """
    solids = _solids_pct(plan)
    if plan.dry_coat_um is None or solids is None:
        return None
    return wet_film_um(dry_um=plan.dry_coat_um, solids_pct=solids, thinning_pct=plan.thinning_pct)


def _solids_pct(plan: FinishPlan) -> Decimal | None:
    """Return the solids by volume: those given, else the sheet's [%]."""
    return plan.finish.volume_solids_pct if plan.solids_pct is None else plan.solids_pct


def _check_film(plan: FinishPlan) -> None:
    """Refuse a film of a finish that soaks in or whose solids are not known, and one too thick wet.

    Parameters
    ----------
    plan : FinishPlan
        Finish, and the dry film wanted [µm].

    Raises
    ------
    Unreadable, OutOfRange
    """
    name = plan.finish.name
    if not plan.finish.film:
        raise OutOfRange(
            f"dry_coat {plan.dry_coat_um} µm: {name} soaks in and builds no film",
            field="dry_coat",
            value=plan.dry_coat_um,
            allowed="nothing, for a finish that soaks in",
        )
    if _solids_pct(plan) is None:
        raise Unreadable(
            f"solids_pct is needed for a film: the sheet of {name} gives none",
            field="solids_pct",
            value="",
            allowed="1 to 100 %",
        )
    wet = _wanted_wet_um(plan)
    if wet is not None and wet > MOST_WET_UM:
        raise out_of_range(
            "dry_coat", plan.dry_coat_um, f"a wet film of {MOST_WET_UM} µm at most, here {wet} µm"
        )


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
