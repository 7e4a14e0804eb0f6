"""Tops to be finished as asked about them: coats, areas, what a litre covers and the film that it leaves.

References
----------
.. [1] Coatings maker, estimating guide on calculation and conversion (undated, name withheld).
.. [2] NIST SP 811, 2008, appendix B.8: units of area and volume.
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
from calcs.kit.typed import out_of_range
from calcs.kit.units import UNITS_PER_MM, inches
from calcs.materials.product_sheets import Finish

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

MOST_WET_UM = 5000
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
