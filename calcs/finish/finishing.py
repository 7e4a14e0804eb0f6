"""Amount of finish that tops take: areas, coats, litres, cans.

Sealing coats go all round, build coats on the show face. Each coat covers by the sheet's coverage, less what
is lost.

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
from calcs.finish.films import reaching
from calcs.kit.rounding import places, up
from calcs.kit.units import UNITS_PER_MM, inches
from calcs.materials.product_sheets import Finish
from calcs.tables import PRACTICE

LACQUER_MOST_UM = Decimal("76.2")
FILM_RULE = "1 L at 1 µm covers 1000 m² (1 US gal at 1 mil 1604 ft²), by definition"

LENGTH = Length("finished length", inches("1/8"), inches(480))
WIDTH = Length("finished width", inches("1/8"), inches(240))
THICKNESS = Length("finished thickness", inches("1/8"), inches(12))
QUANTITY = Whole("how many", 1, 1000)
SEALING = Whole("sealing coats, all round", 1, 20)
BUILD = Whole("build coats, on the show face besides", 0, 20)
LOSS = Percent("left in pad, brush, pot and air", "0", "95")
CAN = Number("can", "0.01", "250", "L")

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

    Raises
    ------
    Unreadable, OutOfRange
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

    def __post_init__(self) -> None:
        check(self)


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
        One coat of either kind, and all of them, to 0.01 [L].
    cans : int
        Cans of ``can_l`` to buy.
    can_l : Decimal
        Size of the can [L].
    film_um : Decimal or None
        Dry film on the show face, to 1 [µm]; None where nothing builds or the solids are not known.
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
    cans: Annotated[int, Figure("Cans to buy")]
    can_l: Annotated[Decimal, Figure("Size of a can")]
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
    Litres = (all round x sealing coats + face x build coats) / (coverage x (1 - loss)).
    Every coat is counted at the sheet's coverage. Bare wood takes more on the first.

    References
    ----------
    .. [1] The sheet of the finish: coverage, coats, solids; carried into ``source``.
    .. [2] Data sheet of a nitrocellulose lacquer (read): over 3 mil dry it cracks.
    .. [3] Loss, and one coat more on the face: common practice, no source.
    """
    finish = plan.finish
    sealing, build = counts(plan)
    face, around = areas_m2(plan)
    spread = _practical_m2_per_l(plan)
    total = litres(plan)
    film = _film_um(finish, sealing + build)
    return Coats(
        sealing_coats=sealing,
        build_coats=build,
        face_m2=places(face, 2),
        all_round_m2=places(around, 2),
        sealing_coat_l=places(around / spread, 2),
        build_coat_l=places(face / spread, 2),
        total_l=places(total, 2),
        cans=up(total / Fraction(plan.can_l)),
        can_l=plan.can_l,
        film_um=film,
        warnings=_warnings(finish, build, film),
        notes=(
            "equal sealing coats on both faces, edges, ends and recesses",
            "bare wood takes more on the first coat",
        ),
        source=(
            f"coverage: {finish.source.get('coverage_m2_per_l', '')}",
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
    """Return the finish for every coat of all tops with what is lost, unrounded [L].

    Notes
    -----
    (whole surface x sealing coats + face x build coats) / (coverage x (1 - loss)).
    """
    (sealing, build), (face, around) = counts(plan), areas_m2(plan)
    return (around * sealing + face * build) / _practical_m2_per_l(plan)


def _practical_m2_per_l(plan: FinishPlan) -> Fraction:
    """Return the coverage of the sheet less what is lost [m²/L]."""
    return reaching(Fraction(plan.finish.coverage_m2_per_l), 100 - plan.loss_pct)


def _film_um(finish: Finish, count: int) -> Decimal | None:
    """Return the dry film of so many coats, to 1 [µm]; None where nothing builds or the solids are not known.

    Notes
    -----
    Film = coats x 1000 / coverage x solids by volume.
    """
    if not finish.film or finish.volume_solids_pct is None:
        return None
    return places(
        count * 1000 / Fraction(finish.coverage_m2_per_l) * Fraction(finish.volume_solids_pct) / 100, 0
    )


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
