"""Laws of each step of a product: the earliest, the likely and the latest.

A class of product has a driver (temperature, moisture, drying) and a range of exponents. The laws of one step
combine these with the sheet's time, or with the maker's own points.

References
----------
.. [1] ``calcs/tables/rate_laws.csv``: each class with its law, source and provenance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

from calcs.curing.points import Fit, Point, fit, placed
from calcs.curing.rates import REF_SHARE, Law, by_temperature, saturation_pa
from calcs.materials.product_sheets import Finish, Glue
from calcs.tables import cite, rows

NEVER_C = -273.15
SPOILS, PAUSES, STOPS = "spoils", "pauses", "stops"
CLOSING = ("scrape_to", "recoat_to")
GLUE_STEPS = ("scrape_from", "scrape_to", "unclamp", "machine", "surface", "full")
COAT_STEPS = ("touch_dry", "recoat_from", "recoat_to", "light_use", "full")


@dataclass(frozen=True, kw_only=True)
class Laws:
    """Law of a step as earliest, likely and latest.

    Attributes
    ----------
    earliest, likely, latest : Law
        Three rates of the same step.
    fit : Fit or None
        Law through the maker's points; None where the step has none.
    source : str
        Source of the class's law.
    """

    earliest: Law
    likely: Law
    latest: Law
    fit: Fit | None
    source: str


@dataclass(frozen=True, kw_only=True)
class ClassLaw:
    """Rate law of a class of glue or finish.

    Attributes
    ----------
    driver : str
        "temperature", "moisture", "drying" or "temperature and drying".
    rate_k : float
        Activation energy over gas constant [K].
    bends : tuple of float
        Exponents of the earliest, likely and latest law.
    cold : str
        Effect of cold: "spoils", "pauses" or "stops".
    source : str
        Source with its provenance.
    """

    driver: str
    rate_k: float
    bends: tuple[float, float, float]
    cold: str
    source: str


@cache
def class_law(family: str) -> ClassLaw:
    """Return the rate law of a family of glues or finishes, from ``tables/rate_laws.csv``.

    Parameters
    ----------
    family : str
        Family of a product sheet.
    """
    row = next(row for row in rows("rate_laws") if row["family"] == family)
    return ClassLaw(
        driver=row["driver"],
        rate_k=float(row["rate_k"]),
        bends=(float(row["least_bend"]), float(row["likely_bend"]), float(row["most_bend"])),
        cold=row["cold"],
        source=cite(row["source"], row["provenance"]),
    )


def steps_of(sheet: Glue | Finish) -> tuple[str, ...]:
    """Return the steps a product goes through, in order."""
    return GLUE_STEPS if isinstance(sheet, Glue) else COAT_STEPS


def laws(sheet: Glue | Finish, step: str, points: Sequence[Point] = ()) -> Laws | None:
    """Return the laws of a step; None where the sheet has no such time.

    Parameters
    ----------
    sheet : Glue or Finish
        Product sheet with times [s] and temperatures [°C].
    step : str
        One of `steps_of`.
    points : sequence of Point
        The maker's own, checked by `calcs.curing.points.check_points`. Points of the step replace its figure.

    Returns
    -------
    Laws or None

    Notes
    -----
    The three laws differ by the exponent b of the effect, rate = effect^b. Typical exponents are 0.7, 1 and
    1.3. Nothing is faster than the sheet except between the maker's own points. The end of a window
    (squeeze-out, recoat) may come sooner in air warmer than the sheet's: only ``earliest`` allows for that.
    A product that pauses in the cold may really go on slowly, as no reaction stops at a sheet's figure. Only
    ``earliest`` allows for that; for the others the trade's rule holds, that it makes no progress.
    A film that dries also has to grow together, which cold slows as a reaction. Only ``latest`` allows for
    that, as nothing in print says by how much.

    References
    ----------
    .. [1] ASTM C1074, equivalent age in Arrhenius form: written for concrete, borrowed here (from memory).
    .. [2] ``calcs/tables/rate_laws.csv``: drivers and exponents by class, most of them common practice.
    """
    mine = sorted((p for p in points if p.step == step), key=lambda p: p.temp_c)
    time_s = getattr(sheet, f"{step}_s")
    if not mine and time_s is None:
        return None
    known = class_law(sheet.family)
    own = fit(mine) if mine else None
    base = _law(sheet, known, mine or [Point(step=step, temp_c=sheet.ref_temp_c, time_s=time_s)], own)
    off = 1 + (own.misfit if own else 0)
    least, likely, most = known.bends if own is None or known.bends[1] else (0.7, 1.0, 1.3)
    return Laws(
        earliest=replace(
            base,
            slower=least,
            faster=most if step in CLOSING else 0.0,
            least_c=base.least_c if known.cold == SPOILS else NEVER_C,
            need_s=base.need_s / off,
        ),
        likely=replace(base, slower=likely),
        latest=replace(
            base,
            slower=most,
            need_s=base.need_s * off,
            driver="temperature and drying" if base.driver == "drying" else base.driver,
        ),
        fit=own,
        source=known.source,
    )


def _law(sheet: Glue | Finish, known: ClassLaw, mine: list[Point], own: Fit | None) -> Law:
    """Return the likely law of a step, with exponent 1.

    Parameters
    ----------
    sheet : Glue or Finish
        Product sheet.
    known : ClassLaw
        Law of its class; a rate on the sheet comes first.
    mine : list of Point
        Points of the step, coldest first: the maker's own, or the sheet's one figure.
    own : Fit or None
        Law through the maker's own points.

    Notes
    -----
    ``need_s`` is set so that the rate is 1 at the sheet's temperature and 50 % RH.
    """
    at = tuple(placed(point) for point in mine)
    rate_k = getattr(sheet, "rate_k", None)
    driver = known.driver
    if driver == "temperature and drying" and isinstance(sheet, Finish) and not sheet.water_borne:
        driver = "temperature"
    law = Law(
        need_s=1.0,
        ref_temp_c=float(sheet.ref_temp_c),
        least_c=float(sheet.min_temp_c),
        driver=driver,
        at=at,
        rate_k=_steepest(at, own) if own else float(rate_k or known.rate_k),
        slower=1.0,
        ref_pa=REF_SHARE * saturation_pa(float(sheet.ref_temp_c)),
    )
    return replace(law, need_s=1 / by_temperature(law, law.ref_temp_c))


def _steepest(at: tuple[tuple[float, float], ...], own: Fit) -> float:
    """Return the rate on the cold side of the points [K].

    The fitted law, or that of the two coldest points where this is steeper: the cautious one.
    """
    (x1, y1), (x2, y2) = at[0], at[1]
    return max(own.rate_k, (y1 - y2) / (x1 - x2))
