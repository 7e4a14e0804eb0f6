"""Sentences beside the times of a joint or a coat: warnings, cautions, remarks."""

from collections.abc import Sequence
from decimal import Decimal

from calcs.asking.figure_wording import named
from calcs.curing.age import Interval
from calcs.curing.hardening_inputs import Hardening
from calcs.curing.laws import Laws, class_law
from calcs.kit.amounts import both_temperatures, format_duration, sheet_temperature, whole_minutes
from calcs.materials.product_sheets import Finish, Glue
from calcs.tables import cite, rows

BLUSH_PCT, SURE_BLUSH_PCT = 65, 70
BLUSHING = ("shellac", "lacquer")
BLUSHES = f"blushing above {BLUSH_PCT} to {SURE_BLUSH_PCT} % relative humidity: common practice, no source"
WET_OR_DRY = "wet wood slows glues: common practice, no source; dry wood slows polyurethane: from memory"
WET_WOOD_PCT, DRY_WOOD_PCT = Decimal(10), Decimal(8)


def cautions(sheet: Glue | Finish) -> tuple[str, ...]:
    """Return the usual cautions of a class of product."""
    found = [row["caution"] for row in _cautions(sheet)]
    if isinstance(sheet, Finish) and sheet.self_heating:
        found.insert(
            0,
            "rags and fresh sanding dust heat by themselves and catch fire: spread rags single and flat"
            " outdoors, or under water in a closed metal can",
        )
    return (*found, "the product's own sheet and safety sheet come first")


def caution_sources(sheet: Glue | Finish) -> tuple[str, ...]:
    """Return where the cautions of a class of product come from."""
    found = [f"caution: {cite(row['source'], row['provenance'])}" for row in _cautions(sheet)]
    if isinstance(sheet, Finish) and sheet.self_heating and sheet.source.get("self_heating"):
        found.insert(0, f"rags heat by themselves: {sheet.source['self_heating']}")
    return tuple(found)


def _cautions(sheet: Glue | Finish) -> list[dict[str, str]]:
    """Return the rows of ``tables/product_cautions.csv`` for a class of product."""
    kind = "glue" if isinstance(sheet, Glue) else "finish"
    return [row for row in rows("product_cautions") if (row["kind"], row["family"]) == (kind, sheet.family)]


def warning_sources(asked: Hardening) -> tuple[str, ...]:
    """Return the sources of the warnings of humid air and of wet or dry wood, where these can come up."""
    sheet = asked.sheet
    if isinstance(sheet, Finish):
        return (BLUSHES,) if sheet.family in BLUSHING else ()
    return (WET_OR_DRY,) if asked.mc_pct is not None else ()


def warnings(
    asked: Hardening, air: Sequence[Interval], spoilt_s: float | None, wet_until_s: int | None
) -> tuple[str, ...]:
    """Return the warnings for this air and wood: too cold, outside the sheet, too humid, too wet or dry.

    Parameters
    ----------
    asked : Hardening
        Joint or coat with its sheet.
    air : sequence of Interval
        Air so far and expected.
    spoilt_s : float or None
        Moment at which it was too cold before it had set [s].
    wet_until_s : int or None
        Moment until which air can still spoil a film [s].
    """
    sheet = asked.sheet
    found = [*_cold(asked, spoilt_s), *_outside(sheet, air)]
    if isinstance(sheet, Finish):
        found += _humid(sheet, air, wet_until_s)
    elif asked.mc_pct is not None:
        found += _wood(sheet, asked.mc_pct)
    return tuple(found)


def remarks(asked: Hardening, known: Sequence[tuple[str, Laws]]) -> tuple[str, ...]:
    """Return the notes on the law behind the times, and on the fit of the maker's own points."""
    law = class_law(asked.sheet.family)
    found = [
        f"law: {law.driver}; earliest to latest by {law.bends[0]} to {law.bends[2]} of its effect, and the"
        " fit of own points; in the sheet's own air its figure has no range",
        "warmth and dry air shorten times only between the temperatures of the maker's own points; the"
        " earliest end of a window allows for them too",
    ]
    for step, laws in known:
        if laws.fit is None:
            continue
        temps = sorted(p.temp_c for p in asked.points if p.step == step)
        found.append(
            f"{named(step)}: own points {both_temperatures(temps[0])} to {both_temperatures(temps[-1])},"
            f" rate {laws.fit.rate_k:.0f} K, off by {laws.fit.misfit * 100:.0f} % at most; colder is a guess"
        )
    return tuple(found)


def _cold(asked: Hardening, spoilt_s: float | None) -> list[str]:
    """Return the warning of a joint or film that was, or will be, too cold before it has set."""
    if spoilt_s is None:
        return []
    sheet = asked.sheet
    what = "joint" if asked.glue is not None else "film"
    cold = f"below the {sheet_temperature(sheet.min_temp_c)} of {sheet.name}"
    when = f"{format_duration(whole_minutes(int(spoilt_s), later=False))} after the start"
    if spoilt_s < max(sum(row.duration_s for row in asked.history), 1):
        return [
            f"{cold} {when}, before it had set: the {what} is suspect; test it or redo it, there is no ready"
            " time"
        ]
    return [f"will be {cold} {when}, before it has set: keep it warm or the {what} is suspect"]


def _outside(sheet: Glue | Finish, air: Sequence[Interval]) -> list[str]:
    """Return the warnings of air colder or warmer than the sheet allows."""
    found = []
    if any(part.temp_c < float(sheet.min_temp_c) for part in air):
        found.append(
            f"colder than the {sheet_temperature(sheet.min_temp_c)} of the sheet for some time:"
            " that time does not count"
        )
    if any(part.temp_c > float(sheet.max_temp_c) for part in air):
        found.append(
            f"warmer than the {sheet_temperature(sheet.max_temp_c)} of the sheet for some time:"
            " its times may not hold"
        )
    return found


def _humid(sheet: Finish, air: Sequence[Interval], wet_until_s: int | None) -> list[str]:
    """Return the warnings of humid air while the film is wet; a hard film minds less."""
    most, passed = 0.0, 0.0
    for part in air:
        if wet_until_s is not None and passed >= wet_until_s:
            break
        most = max(most, part.rh_pct)
        passed += part.duration_s
    found = []
    if most > float(sheet.rh_max_pct):
        found.append(f"air at {most:g} % RH is above the {sheet.rh_max_pct} % of the sheet")
    if sheet.family in BLUSHING and most > BLUSH_PCT:
        sure = "blushes" if most > SURE_BLUSH_PCT else "may blush"
        found.append(
            f"at {most:g} % RH {sheet.family} {sure}: above {BLUSH_PCT} to {SURE_BLUSH_PCT} % water"
            " settles in the film"
        )
    return found


def _wood(sheet: Glue | Finish, mc_pct: Decimal) -> list[str]:
    """Return the warning of wood too wet for a water-based glue, or too dry for polyurethane."""
    if getattr(sheet, "water_based", False) and mc_pct > WET_WOOD_PCT:
        return [f"wood at {mc_pct} % takes up water slowly: no law in print, take the latest times and test"]
    if sheet.family == "polyurethane" and mc_pct < DRY_WOOD_PCT:
        return [f"wood at {mc_pct} % gives little moisture: cures slower than at 8 to 12 %"]
    return []
