"""Law of each step of a product: the earliest, the likely and the latest."""

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
    """The law of a step as soonest, likely and slowest; ``fit`` where the maker's points gave it."""

    earliest: Law
    likely: Law
    latest: Law
    fit: Fit | None
    source: str


@dataclass(frozen=True, kw_only=True)
class ClassLaw:
    """What is known of a class: its driver, rate [K], exponents, and what cold does to it."""

    driver: str
    rate_k: float
    bends: tuple[float, float, float]
    cold: str
    source: str


@cache
def class_law(family: str) -> ClassLaw:
    """The rate law of a family of glues or finishes, from ``tables/rate_laws.csv``."""
    row = next(row for row in rows("rate_laws") if row["family"] == family)
    return ClassLaw(
        driver=row["driver"],
        rate_k=float(row["rate_k"]),
        bends=(float(row["least_bend"]), float(row["likely_bend"]), float(row["most_bend"])),
        cold=row["cold"],
        source=cite(row["source"], row["provenance"]),
    )


def steps_of(sheet: Glue | Finish) -> tuple[str, ...]:
    """The steps a product goes through, in order."""
    return GLUE_STEPS if isinstance(sheet, Glue) else COAT_STEPS


def laws(sheet: Glue | Finish, step: str, points: Sequence[Point] = ()) -> Laws | None:
    """The laws of a step; None where the sheet has no such time.

    Parameters
    ----------
    sheet : Glue or Finish
    step : str
        One of `steps_of`.
    points : sequence of Point
        The maker's own, checked by `calcs.curing.points.check_points`. Points of the step replace its figure.

    Notes
    -----
    Nothing is faster than the sheet but between the maker's own points. One thing may come sooner: the end
    of a window (squeeze-out, recoat) in air warmer than the sheet's, which only ``earliest`` reckons with.
    What pauses in the cold may really go on slowly: no reaction stops at a sheet's figure. Only ``earliest``
    reckons with that; the trade's rule, that it stands still, holds for the others.
    A film that dries has to grow together as well, which cold slows as a reaction: only ``latest`` reckons
    with that, as nothing in print says by how much.
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
    """Outside the points on the cold side: the fitted law, or that of the two coldest points if steeper."""
    (x1, y1), (x2, y2) = at[0], at[1]
    return max(own.rate_k, (y1 - y2) / (x1 - x2))
