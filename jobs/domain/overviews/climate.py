"""The air of the shop's places, and the waits that depend on it."""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from calcs.curing.series import STEP_S, DailyProfile, Pair, daily_profile, series
from jobs.domain.checks import one_of
from jobs.domain.climate.air_history import carried, habit_span, last_step, step_of
from jobs.domain.climate.wait_estimates import WaitEstimator
from jobs.domain.overviews.bench import LIVE
from jobs.domain.settings import settings
from jobs.domain.waits.queries import read_routes, wait_view
from jobs.models import AirMean, Piece, Reading, Token, Wait
from jobs.models.people import Scope


@dataclass(frozen=True, kw_only=True)
class PlaceAir:
    """The air of one place: stored quarter hours, filled gaps, daily profile and expected air."""

    place: str
    rows: list[tuple[int, float | None, float | None]]
    measured: dict[int, Pair]
    expected: dict[int, Pair]
    habit: DailyProfile | None

    @property
    def last(self) -> dict[str, Any] | None:
        """Return the latest measured quarter hour."""
        return _quarter(*self.rows[-1]) if self.rows else None

    @property
    def damp(self) -> bool:
        """Return whether humidity is measured at this place."""
        return any(rh_pct is not None for _, _, rh_pct in self.rows)


def moment_of(step: int) -> datetime:
    """Return when a quarter hour begins."""
    return datetime.fromtimestamp(step * STEP_S, tz=UTC)


def place_air(place: str, *, since: datetime, usual: Pair) -> PlaceAir:
    """Return the air of a place from a moment on; without readings it has no profile and no expectation."""
    newest = last_step(place)
    if newest is None:
        return PlaceAir(place=place, rows=[], measured={}, expected={}, habit=None)
    first, habit_from = step_of(since), habit_span(newest)
    stored = AirMean.objects.filter(place=place, step__gte=min(first, habit_from)).order_by("step")
    rows = list(stored.values_list("step", "temp_c", "rh_pct"))
    found = carried(rows)
    habit = daily_profile({step: pair for step, pair in found.items() if step >= habit_from}, usual)
    expected: dict[int, Pair] = {}
    if known := max(found, default=None):
        made = series({known: found[known]}, first=known, profile=habit)
        expected = {known + n: pair for n, pair in enumerate(made.air[1:], start=1)}
    return PlaceAir(
        place=place,
        rows=rows,
        measured={step: pair for step, pair in found.items() if step >= first},
        expected=expected,
        habit=habit if found else None,
    )


def usual_air(shop: dict[str, Any]) -> Pair:
    """Return the shop's usual air: temperature [°C] and humidity [%]."""
    return float(shop["shop_c"]), float(shop["shop_rh_pct"])


def climate_view(place: str, *, since: datetime) -> dict[str, Any]:
    """Return the measured quarter hours of a place, its daily profile and its expected air.

    A figure that was not measured is None.
    """
    shop = settings()
    places = shop["places"]
    place = place or places[0]
    one_of(place, places, "no such place", field="place")
    air = place_air(place, since=since, usual=usual_air(shop))
    return {
        "place": place,
        "quarters": [_quarter(*row) for row in air.rows if row[0] >= step_of(since)],
        "habit": air.habit and _habit(air.habit),
        "expected": [_quarter(step, *pair) for step, pair in air.expected.items()],
    }


def _quarter(step: int, temp_c: float | None, rh_pct: float | None) -> dict[str, Any]:
    return {
        "at": moment_of(step),
        "temp_c": None if temp_c is None else round(temp_c, 2),
        "rh_pct": None if rh_pct is None else round(rh_pct, 1),
    }


def _habit(habit: DailyProfile) -> dict[str, Any]:
    day = [
        {"minute": n * STEP_S // 60, "temp_c": round(temp, 2), "rh_pct": round(humidity, 1)}
        for n, (temp, humidity) in enumerate(habit.day)
    ]
    return {"spread_c": round(habit.spread_c, 2), "day": day}


def waits_in_the_air(*, now: datetime) -> dict[str, list[dict[str, Any]]]:
    """Return the running waits of live commissions that rest on a product, by their place."""
    rows = Wait.objects.filter(step=Wait.Step.RUNNING, stage__piece__commission__step__in=LIVE)
    keys = {w.stage.piece_id for w in rows.select_related("stage") if "product" in w.basis}
    pieces = list(Piece.objects.filter(id__in=keys).select_related("commission"))
    read = read_routes(pieces, more_rows=[p.commission for p in pieces])
    clock = WaitEstimator([w for route in read.routes for w in route.waits])
    found: dict[str, list[dict[str, Any]]] = {}
    for route in read.routes:
        for wait in (w for w in route.waits if "product" in w.basis):
            view = {
                **wait_view(wait, now),
                "piece": route.piece.number,
                "label": read.texts[route.piece.label_ref],
                "commission": route.piece.commission.number,
            }
            found.setdefault(clock.place(wait) or clock.places[0], []).append(view)
    return {place: sorted(rows, key=lambda w: w["since"]) for place, rows in found.items()}


def sensors() -> list[Token]:
    """Return the valid tokens that hand in readings."""
    return list(Token.objects.filter(scope=Scope.READINGS, revoked_at=None).order_by("label", "id"))


def source_of(token: Token) -> str:
    """Return the source that a sensor's readings carry."""
    return f"sensor-{token.sha256[:12]}"


def newest_readings(count: int) -> list[tuple[Reading, str]]:
    """Return the latest readings of all places, each with its sensor's label; empty for a person's."""
    labels = {source_of(t): t.label for t in Token.objects.filter(scope=Scope.READINGS)}
    return [(r, labels.get(r.source, "")) for r in Reading.objects.order_by("-id")[:count]]
