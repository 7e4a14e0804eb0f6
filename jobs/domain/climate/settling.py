"""Settling of a piece's boards by their moisture readings."""

from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from decimal import Decimal
from functools import cache
from math import ceil
from typing import Any

from calcs.curing.series import Pair
from calcs.kit.errors import CalcError
from calcs.kit.rounding import places
from calcs.kit.units import both_units
from calcs.wood.air import Air
from calcs.wood.emc import equilibrium_moisture
from calcs.wood.settling import Settling, settling
from calcs.wood.settling_inputs import DAY_S, MeterReading, Stock
from calcs.wood.time_to_settle import days_to_near
from jobs.core.command_cache import read_once
from jobs.domain.climate.air_history import mean_air
from jobs.domain.settings import profile, settings
from jobs.models import Board, MoistureReading, Piece, Stage

ARRIVED = "settle"
"""Kind of the wait of stock that has just come in."""
SETTLES = (ARRIVED, "rest")
"""Kinds of waits that end when the stock has settled."""
SESSION = timedelta(hours=6)
"""Readings within this time belong to one round of the boards."""
BEFORE = timedelta(days=1)
"""Readings up to this long before a wait belong to it: boards are read on arrival."""
BOUGHT = "moisture_mean"
"""Measurement of the boards as they were bought."""
READ_BACK, FRESH = timedelta(days=60), timedelta(days=3)
"""Time that a stage's form looks back, and the greatest age of the last round that it offers."""


def readings_of(pieces: Iterable[str]) -> dict[str, list[MoistureReading]]:
    """Return the valid readings of boards reserved for or used by these pieces, oldest first."""
    found: dict[str, list[MoistureReading]] = {}
    rows = MoistureReading.objects.filter(board__piece__in=list(pieces), voided=False)
    for row in rows.select_related("board").order_by("at", "id"):
        found.setdefault(row.board.piece, []).append(row)
    return found


def settled(readings: Iterable[MoistureReading], *, since: datetime, air: Pair) -> dict[str, Any] | None:
    """Return how the boards of a piece settle, with the moments of the first and last round.

    Return None without readings. ``air`` is the shop's: temperature [°C], relative humidity [%]. Readings
    from before ``since`` belong to other air and do not count.
    """
    rounds = _rounds([r for r in readings if r.at >= since - BEFORE])
    if not rounds:
        return None
    (first, _), (last, _) = rounds[0], rounds[-1]
    meter = tuple(
        MeterReading(elapsed_s=round((at - first).total_seconds()), mc_pct=r.pct)
        for at, rows in rounds
        for r in rows
    )
    thickest = max(r.board.thickness_len for _, rows in rounds for r in rows)
    temp_c, rh_pct = (Decimal(str(round(each, 1))) for each in air)
    stock = Stock(readings=meter, thickness_len=thickest, temp_c=temp_c, rh_pct=rh_pct)
    return {"it": settling(stock), "first": first, "last": last}


def unread(piece: Piece, *, air: Pair) -> tuple[int, str] | None:
    """Return how long boards without meter readings need by their thickness [s], and the reason in words.

    They start at the moisture measured as they were bought. Return None where nobody measured it, or where
    the thickness is not known.
    """
    stages = Stage.objects.filter(piece=piece, finished_at__isnull=False).order_by("finished_at")
    bought = next((stage.measured[BOUGHT] for stage in stages if BOUGHT in stage.measured), None)
    sawn = (piece.computed.get("lumber", {}).get("result") or {}).get("rough_len", 0)
    boards = Board.objects.filter(piece=piece.number).values_list("thickness_len", flat=True)
    thickest = max(boards, default=sawn)
    if bought is None or not thickest:
        return None
    pct = bought["pct"]
    temp_c, rh_pct = (Decimal(str(round(each, 1))) for each in air)
    emc = equilibrium_moisture(Air(temp_c=temp_c, rh_pct=rh_pct))
    days = ceil(days_to_near(thickest, off=abs(float(pct) - float(emc))))
    says = (
        f"no meter readings of the boards: {days} d by thickness, for {both_units(thickest)} bought at"
        f" {pct} % to come within 1 % of the {places(emc, 1)} % that this air makes"
    )
    return days * DAY_S, says


@read_once("shop_set")
def shop_emc(*, at: datetime) -> Callable[[], Decimal | None]:
    """Return a function of the moisture that the shop's air leads to [%], read when first asked.

    Air that nobody measured lately is the usual air that the shop has set; the function returns None where it
    has set none.
    """

    @cache
    def find() -> Decimal | None:
        air = mean_air(settings()["places"][0], at=at) or _usual_air()
        if air is None:
            return None
        temp_c, rh_pct = (Decimal(str(round(each, 1))) for each in air)
        try:
            return places(equilibrium_moisture(Air(temp_c=temp_c, rh_pct=rh_pct)), 1)
        except CalcError:
            return None

    return find


def _usual_air() -> Pair | None:
    """Return the usual air of the shop [°C, %] where the shop itself has set its humidity."""
    shop = profile()
    if shop is None or "shop_rh_pct" not in shop.data:
        return None
    return float(settings()["shop_c"]), float(settings()["shop_rh_pct"])


def words(found: Settling, *, air_measured: bool = True) -> str:
    """Return the state of the boards by their readings, in a line."""
    said = [f"boards at {found.now_pct} %, this air makes {found.emc_pct} %"]
    if found.settled:
        said = [
            f"settled: {found.change_pct} % in 7 days,"
            f" {found.off_emc_pct} % from the {found.emc_pct} % that this air makes"
        ]
    elif not found.fitted:
        said += [note for note in found.notes if "by thickness" in note]
    if not air_measured:
        said.append("no readings of the shop's air: its usual temperature and humidity are taken")
    return "; ".join([*said, *found.warnings])


def gate_figures(piece: str, *, now: datetime, air: Pair) -> dict[str, str]:
    """Return the figures for the gates of milling, from a fresh round of readings.

    Figures that the round does not give are left out.
    """
    try:
        found = settled(readings_of([piece]).get(piece, []), since=now - READ_BACK, air=air)
    except CalcError:
        return {}
    if found is None or found["last"] < now - FRESH:
        return {}
    it: Settling = found["it"]
    change = None if it.change_pct is None else abs(it.change_pct)
    figures = {"moisture_mean": it.now_pct, "moisture_spread": it.spread_pct, "moisture_change": change}
    return {key: f"{value:f}" for key, value in figures.items() if value is not None}


def _rounds(readings: list[MoistureReading]) -> list[tuple[datetime, list[MoistureReading]]]:
    """Return the readings by round, each with the moment it began."""
    found: list[tuple[datetime, list[MoistureReading]]] = []
    for reading in readings:
        if not found or reading.at - found[-1][0] > SESSION:
            found.append((reading.at, []))
        found[-1][1].append(reading)
    return found
