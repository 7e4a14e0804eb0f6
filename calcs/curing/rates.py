"""How fast a joint or a coat hardens, by class: rates relative to the air of the product's own sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache, lru_cache
from itertools import pairwise
from math import exp, log

import psychrolib

from calcs.curing.points import ZERO_C_K, Fit, Point, fit, placed
from calcs.materials.product_sheets import Finish, Glue
from calcs.tables import rows, told

REF_SHARE = 0.5
"""Of the water that saturated air would hold, in the air of a sheet: 50 % RH, so 50 % is lacking too."""
NEVER_C = -273.15
SPOILS, PAUSES, STOPS = "spoils", "pauses", "stops"
CLOSING = ("scrape_to", "recoat_to")
GLUE_STEPS = ("scrape_from", "scrape_to", "unclamp", "machine", "surface", "full")
COAT_STEPS = ("touch_dry", "recoat_from", "recoat_to", "light_use", "full")

psychrolib.SetUnitSystem(psychrolib.SI)


@dataclass(frozen=True, kw_only=True, slots=True)
class Law:
    """Rate of one step of one product.

    Parameters
    ----------
    need_s : float
        Time at the sheet's own temperature and 50 % RH: the equivalent age at which the step is reached [s].
    ref_temp_c, least_c : float
        Temperature of the figures, and least of use [°C]; below it nothing counts.
    driver : str
        "temperature", "moisture", "drying" or "temperature and drying".
    at : tuple of (float, float)
        The sheet's points, 1/temperature [1/K] and ln(time [s]), the coldest first; often one.
    rate_k : float
        Activation energy over gas constant outside the points [K].
    slower, faster : float
        Exponent of the law where it is slower, or faster, than at the sheet's points; ``faster`` 0 never
        shortens what the sheet says.
    ref_pa : float
        Vapour pressure of water in, or lacking to, the sheet's own air [Pa].
    """

    need_s: float
    ref_temp_c: float
    least_c: float
    driver: str
    at: tuple[tuple[float, float], ...]
    rate_k: float
    slower: float
    faster: float = 0.0
    ref_pa: float = 0.0


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
        source=told(row["source"], row["provenance"]),
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


def rate(law: Law, temp_c: float, rh_pct: float) -> float:
    """Seconds of the sheet's air that one second of this air is worth.

    Parameters
    ----------
    temp_c, rh_pct : float
        Temperature [°C] of air, or of the wood around a glue line; relative humidity [%].
    """
    if temp_c < law.least_c:
        return 0.0
    if law.driver == "temperature":
        return _by_temperature(law, temp_c)
    if law.driver == "moisture":
        return _by_water(law, temp_c, rh_pct / 100)
    dry = _by_water(law, temp_c, 1 - rh_pct / 100)
    return dry if law.driver == "drying" else min(dry, _by_temperature(law, temp_c))


@lru_cache(maxsize=4096)
def saturation_pa(temp_c: float) -> float:
    """Vapour pressure [Pa] of water in saturated air of ``temp_c`` [°C].

    ASHRAE Fundamentals 2017, ch. 1, by PsychroLib.
    """
    return float(psychrolib.GetSatVapPres(temp_c))


def slowing(*, rate_k: Decimal, temp_c: Decimal, ref_temp_c: Decimal) -> float:
    """How many times longer a reaction takes at ``temp_c`` than at ``ref_temp_c`` [°C].

    Parameters
    ----------
    rate_k : Decimal
        Activation energy over gas constant [K].

    References
    ----------
    .. [1] ASTM C1074, equivalent age, Arrhenius form.
    """
    return exp(float(rate_k) * (_inverse(float(temp_c)) - _inverse(float(ref_temp_c))))


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
    return replace(law, need_s=1 / _by_temperature(law, law.ref_temp_c))


def _steepest(at: tuple[tuple[float, float], ...], own: Fit) -> float:
    """Outside the points on the cold side: the fitted law, or that of the two coldest points if steeper."""
    (x1, y1), (x2, y2) = at[0], at[1]
    return max(own.rate_k, (y1 - y2) / (x1 - x2))


def _by_temperature(law: Law, temp_c: float) -> float:
    x = 1 / (temp_c + ZERO_C_K)
    (cold_x, cold_y), (warm_x, warm_y) = law.at[0], law.at[-1]
    if x >= cold_x:
        time = cold_y + law.rate_k * (x - cold_x) * law.slower
    elif x <= warm_x:
        time = warm_y - law.rate_k * (warm_x - x) * law.faster
    else:
        time = next(
            y1 + (y2 - y1) * (x - x1) / (x2 - x1) for (x1, y1), (x2, y2) in pairwise(law.at) if x2 <= x
        )
    return exp(log(law.need_s) - time)


def _by_water(law: Law, temp_c: float, share: float) -> float:
    """By the vapour pressure that drives water in or out; between own points they tell the temperature."""
    if len(law.at) > 1:
        ratio = share / REF_SHARE
        return float(_by_temperature(law, temp_c) * ratio ** (law.slower if ratio < 1 else law.faster))
    ratio = share * saturation_pa(temp_c) / law.ref_pa
    if ratio < 1:
        return float(ratio**law.slower)
    return float(ratio**law.faster) if law.faster else 1.0


def _inverse(temp_c: float) -> float:
    return 1 / (temp_c + ZERO_C_K)
