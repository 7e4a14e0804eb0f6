"""The air of a place in quarter hours: updated as readings arrive, read by the wait estimates."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import UTC, datetime
from statistics import fmean
from typing import Any

from django.db.models import Avg, QuerySet

from calcs.curing.series import DAY, STEP_S, Pair
from jobs.models import AirMean, Reading

HABIT_DAYS = 14
"""Days of readings that a place's daily profile rests on."""
BATCH = 500
NOW_STEPS = 24
"""Quarter hours in which a reading still tells the air of now."""


def step_of(moment: datetime) -> int:
    """Return the quarter hour of a moment, counted from the epoch."""
    return int(moment.timestamp() // STEP_S)


def update_means(readings: Iterable[Reading]) -> None:
    """Update the means of the quarter hours of these readings."""
    touched: dict[str, set[int]] = defaultdict(set)
    for reading in readings:
        touched[reading.place].add(step_of(reading.at))
    for place, steps in touched.items():
        _replace(place, steps)


def refill() -> None:
    """Drop every mean that is not frozen and recalculate it from its readings."""
    AirMean.objects.filter(frozen=False).delete()
    for place in Reading.objects.values_list("place", flat=True).distinct():
        _fill(place, Reading.objects.filter(place=place))


def means(place: str, *, first: int, last: int | None = None) -> dict[int, Pair]:
    """Return temperature [°C] and humidity [%] by quarter hour; a missing figure repeats the one before."""
    found = AirMean.objects.filter(place=place, step__gte=first)
    if last is not None:
        found = found.filter(step__lte=last)
    return carried(found.order_by("step").values_list("step", "temp_c", "rh_pct"))


def carried(rows: Iterable[tuple[int, float | None, float | None]]) -> dict[int, Pair]:
    """Return quarter hours in order; a missing figure repeats the one before."""
    temp, humidity, read = None, None, {}
    for step, temp_c, rh_pct in rows:
        temp = temp_c if temp_c is not None else temp
        humidity = rh_pct if rh_pct is not None else humidity
        if temp is not None:
            read[step] = (temp, humidity if humidity is not None else UNMEASURED_PCT)
    return read


UNMEASURED_PCT = 50.0
"""Humidity [%] where only the temperature is measured: that of the sheets, without effect on the time."""


def last_step(place: str) -> int | None:
    """Return the newest quarter hour with a measurement at a place."""
    return AirMean.objects.filter(place=place).order_by("-step").values_list("step", flat=True).first()


def air_now(places: Iterable[str], *, at: datetime) -> list[dict[str, Any]]:
    """Return the newest air of these places, of the last hours: what is older is not the air of now."""
    since = step_of(at) - NOW_STEPS
    rows = AirMean.objects.filter(place__in=places, step__gte=since).order_by("step")
    newest = {place: (temp, rh) for place, temp, rh in rows.values_list("place", "temp_c", "rh_pct")}
    return [
        {"place": place, "temp_c": newest[place][0], "rh_pct": newest[place][1]}
        for place in places
        if place in newest and newest[place][0] is not None
    ]


def mean_air(place: str, *, at: datetime) -> Pair | None:
    """Return the mean temperature [°C] and humidity [%] of two weeks; None where either was not measured."""
    last = step_of(at)
    found = AirMean.objects.filter(place=place, step__gte=habit_span(last), step__lte=last)
    mean = found.aggregate(temp_c=Avg("temp_c"), rh_pct=Avg("rh_pct"))
    return None if None in mean.values() else (mean["temp_c"], mean["rh_pct"])


def habit_span(last: int) -> int:
    """Return the first quarter hour that a daily profile is taken from."""
    return last - HABIT_DAYS * DAY


def _replace(place: str, steps: set[int]) -> None:
    begin, end = (datetime.fromtimestamp(s * STEP_S, tz=UTC) for s in (min(steps), max(steps) + 1))
    spanned = AirMean.objects.filter(place=place, step__gte=min(steps), step__lte=max(steps))
    spanned.filter(frozen=False).delete()
    _fill(place, Reading.objects.filter(place=place, at__gte=begin, at__lt=end))


def _fill(place: str, readings: QuerySet[Reading]) -> None:
    sums: dict[int, tuple[list[float], list[float]]] = defaultdict(lambda: ([], []))
    rows = readings.filter(voided_at=None).values_list("at", "temp_c", "rh_pct")
    for at, temp_c, rh_pct in rows.iterator(chunk_size=5000):
        temps, humidities = sums[step_of(at)]
        if temp_c is not None:
            temps.append(float(temp_c))
        if rh_pct is not None:
            humidities.append(float(rh_pct))
    AirMean.objects.bulk_create(
        (
            AirMean(
                place=place,
                step=step,
                temp_c=fmean(temps) if temps else None,
                rh_pct=fmean(humidities) if humidities else None,
            )
            for step, (temps, humidities) in sums.items()
        ),
        batch_size=BATCH,
        ignore_conflicts=True,  # frozen means stay as they are
    )
