"""Readings of temperature and humidity: each entry is stored, already known, or refused with a reason."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from calcs.kit.amounts import parse_percent, parse_temperature
from calcs.kit.errors import CalcError
from jobs.core.errors import Invalid, ShopError, WrongState
from jobs.domain.checks import one_of
from jobs.domain.climate.air_history import update_means
from jobs.domain.lookups import existing
from jobs.domain.settings import settings
from jobs.log.outbox import ask_again
from jobs.models import Reading

ESTIMATE = "estimate waits"
"""The outbox message that asks for the estimates of a place with new readings."""
MOST_AT_ONCE = 5000
AHEAD = timedelta(minutes=5)
COLDEST_C, HOTTEST_C = "-40", "60"
"""Limits of the air in a workshop [°C]: common practice, no source."""

Key = tuple[str, datetime]


@dataclass(frozen=True, kw_only=True)
class Refused:
    """One entry that was refused."""

    entry: int
    detail: str
    field: str
    value: str
    allowed: str


@dataclass(kw_only=True)
class Taken:
    """The outcome for the entries of one message."""

    kept: list[Reading] = field(default_factory=list)
    repeated: int = 0
    refused: list[Refused] = field(default_factory=list)


@transaction.atomic
def take_readings(
    entries: Iterable[Mapping[str, Any] | ShopError], *, source: str, temperature_unit: str, now: datetime
) -> Taken:
    """Store the entries that are valid and new; a repeated entry of a source is harmless.

    Late readings and readings out of order are welcome. ``temperature_unit`` is the unit of a bare number. An
    entry that could not be parsed arrives as its refusal.
    """
    taken = Taken()
    read: dict[Key, tuple[int, Reading]] = {}
    places = settings()["places"]
    for n, entry in enumerate(entries, start=1):
        try:
            if isinstance(entry, ShopError):
                raise entry
            reading = _read(entry, places, temperature_unit, now)
            reading.source = source
            earlier = read.setdefault((reading.place, reading.at), (n, reading))[1]
            if earlier is not reading:
                _same(earlier, reading)
                taken.repeated += 1
        except (ShopError, CalcError) as wrong:
            taken.refused.append(_refused(n, wrong))
    _keep(taken, read, source, now)
    return taken


def _keep(taken: Taken, read: dict[Key, tuple[int, Reading]], source: str, now: datetime) -> None:
    """Insert the new readings; rows that another process inserts meanwhile stay as they are."""
    known = _known(read, source)
    for key, (n, reading) in read.items():
        if key not in known or (known[key].voided_at and not _alike(known[key], reading)):
            taken.kept.append(reading)
            continue
        try:
            _same(known[key], reading)
            taken.repeated += 1
        except ShopError as wrong:
            taken.refused.append(_refused(n, wrong))
    _ask_for_estimates(taken.kept, now)
    Reading.objects.bulk_create(taken.kept, batch_size=500, ignore_conflicts=True)
    update_means(taken.kept)
    taken.refused.sort(key=lambda r: r.entry)


def _ask_for_estimates(readings: list[Reading], now: datetime) -> None:
    """Ask the worker for the estimates of these places.

    The request locks the message of a place, so writers of one place wait for one another. Each mean of a
    quarter hour then includes every reading stored before.
    """
    for place in sorted({reading.place for reading in readings}):
        ask_again(ESTIMATE, place, now=now)


def _known(read: dict[Key, tuple[int, Reading]], source: str) -> dict[Key, Reading]:
    if not read:
        return {}
    moments = [at for _, at in read]
    places = {place for place, _ in read}  # named, so that the database uses the index of places
    there = Reading.objects.filter(
        place__in=places, source=source, at__gte=min(moments), at__lte=max(moments)
    )
    rows = sorted(there, key=lambda r: r.voided_at is None)  # of several readings, the valid one
    return {(r.place, r.at): r for r in rows if (r.place, r.at) in read}


def _read(entry: Mapping[str, Any], places: list[str], unit: str, now: datetime) -> Reading:
    place = str(entry.get("place") or places[0])
    one_of(place, places, "no such place", field="place")
    at = (entry.get("at") or now).astimezone(UTC)  # in UTC the hour that comes twice stays two
    if at > now + AHEAD:
        raise Invalid(
            "this moment has not come yet", field="at", value=at.isoformat(), allowed="up to 5 minutes ahead"
        )
    temp, humidity = entry.get("temperature"), entry.get("humidity")
    if temp in (None, "") and humidity in (None, ""):
        raise Invalid(
            "nothing was measured", field="temperature", value="", allowed="a temperature or humidity"
        )
    return Reading(
        place=place,
        at=at,
        recorded_at=now,
        temp_c=_temperature(temp, unit) if temp not in (None, "") else None,
        rh_pct=_humidity(humidity) if humidity not in (None, "") else None,
    )


def _temperature(typed: Any, unit: str) -> Decimal:
    return parse_temperature(str(typed), unit=unit, field="temperature", least=COLDEST_C, most=HOTTEST_C)


def _humidity(typed: Any) -> Decimal:
    return parse_percent(str(typed), field="humidity", least="0", most="100").quantize(Decimal("0.01"))


def _alike(known: Reading, again: Reading) -> bool:
    return (known.temp_c, known.rh_pct) == (again.temp_c, again.rh_pct)


def _same(known: Reading, again: Reading) -> None:
    if not _alike(known, again):
        says = "this source has said something else of this moment"
        allowed = "the same figures, or another moment; void the wrong one first"
        raise WrongState(says, field="at", value=again.at.isoformat(), allowed=allowed)


def _refused(n: int, wrong: ShopError | CalcError) -> Refused:
    return Refused(
        entry=n, detail=wrong.detail, field=wrong.field, value=str(wrong.value)[:60], allowed=wrong.allowed
    )


@transaction.atomic
def void_reading(key: int, *, by: str, now: datetime) -> Reading:
    """Void a bad reading: it stays visible and no calculation uses it."""
    reading = existing(Reading.objects.filter(id=key), "reading", key)
    _ask_for_estimates([reading], now)
    reading.voided_at, reading.voided_by = now, by
    if not Reading.objects.filter(id=key, voided_at=None).update(voided_at=now, voided_by=by):
        raise WrongState("this reading is voided already", field="reading", value=key)
    update_means([reading])
    return reading
