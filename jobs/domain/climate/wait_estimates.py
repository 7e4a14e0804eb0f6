"""Wait estimates: when each wait is ready, by the measured and expected air of its place.

The estimates depend on log, sheets and readings alone, never on the present time. A wait without measurements
keeps the time told at its start. Its range is what the shop's usual figures leave open.
"""

import hashlib
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from statistics import fmean
from typing import Any, TypeVar

from calcs.curing.age import LAG_OFF, lag_of
from calcs.curing.hardening import SET_BY
from calcs.curing.laws import PAUSES, SPOILS, Laws, class_law, laws
from calcs.curing.rates import Law
from calcs.curing.series import (
    DAY,
    STEP_S,
    Pair,
    Series,
    colder,
    daily_profile,
    in_wood,
    series,
    shifted,
    steady,
    warmer,
)
from calcs.curing.series_ages import Ages, coldest, first_below, mean_humidity
from calcs.kit.amounts import format_temperature
from calcs.kit.errors import CalcError
from calcs.kit.rounding import places as rounded
from jobs.core.canonical_json import dumps
from jobs.domain.climate import settling
from jobs.domain.climate.air_history import habit_span, last_step, means, step_of
from jobs.domain.climate.estimate_reasons import correction_notes
from jobs.domain.settings import settings
from jobs.domain.stock.product_sheets import Product, product_at
from jobs.models import Wait

CLOCK_FIELDS: dict[str, tuple[str, str | None]] = {
    "glue.scrape": ("scrape_from_s", "scrape_to_s"),
    "glue.unclamp": ("unclamp_s", None),
    "glue.machine": ("machine_s", None),
    "glue.surface": ("surface_s", None),
    "finish.recoat": ("recoat_from_s", "recoat_to_s"),
    "finish.full": ("full_s", None),
}
"""Clock -> the sheet's times at which its window opens and closes."""
SENSOR_C = 1.0
"""Deviation of a household sensor and its air from the air at the piece [K]: common practice, no source."""
UNMEASURED_C = 2.0
"""Deviation of an unmeasured shop from its usual temperature [K]: common practice, no source."""
SENSOR_PCT, WEATHER_PCT = 5.0, 10.0
"""Deviations of relative humidity [%], by the sensor and by coming weather: common practice, no source."""
DAMP_HELPS = {"moisture": 1, "temperature": 0}
"""Driver of hardening -> effect of damp air; damp air hinders any product that has to dry."""
TO_SCRAPE = 1 / 3
"""Share of the certain window that is left to scrape in; the rest makes the ready time safer."""
STALE = 8
"""Quarter hours after which a place's newest reading no longer describes the start of a wait."""
FINISHING = "finish"
GLUE = "glue"

T = TypeVar("T")


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """The estimated times of a wait. ``ready_at`` is the time shown; where air is measured it errs late.

    ``suspect`` and ``paused`` rest on measurements. ``cold_at`` is when the air is expected to be too cold.
    """

    ready_at: datetime | None
    closes_at: datetime | None
    earliest_at: datetime | None = None
    likely_at: datetime | None = None
    latest_at: datetime | None = None
    suspect: bool = False
    paused: bool = False
    reason: str = ""
    cold_at: datetime | None = None
    known_until: datetime | None = None


class WaitEstimator:
    """Estimates of many waits; every series and every law is computed once."""

    def __init__(self, waits: Iterable[Wait], *, changed: Collection[int] | None = None) -> None:
        """Take the waits to estimate; ``changed`` limits those whose log is searched for corrections."""
        self.made: dict[Any, Any] = {}
        self.waits = list(waits)
        self.changed = [w for w in self.waits if changed is None or w.id in changed]
        self.begin = min((step_of(w.since) for w in self.waits), default=0) - DAY
        self.places: list[str] = settings()["places"]

    def estimate(self, wait: Wait) -> Estimate:
        """Return the estimate of this wait, with the reasons for a change."""
        found = self._estimate(wait)
        by_people = self.put_right(wait)
        if not by_people:
            return found
        return replace(found, reason="; ".join(filter(None, (found.reason or wait.reason, *by_people))))

    def put_right(self, wait: Wait) -> list[str]:
        """Return people's corrections of a wait since it began, in words."""
        return self.once("corrections", lambda: correction_notes(self.changed)).get(wait.id, [])

    def _estimate(self, wait: Wait) -> Estimate:
        told = Estimate(ready_at=_after(wait, wait.ready_s), closes_at=_after(wait, wait.closes_s))
        if wait.suspect or wait.ready_s is None:
            return replace(told, ready_at=None, closes_at=None)
        clock = self._clock_of(wait)
        if not clock:
            return self._settling(wait, told) if wait.kind in settling.SETTLES else told
        return _ClockedWait(self, wait, clock).estimate(told)

    def _settling(self, wait: Wait, told: Estimate) -> Estimate:
        """Estimate by the moisture readings of the piece's boards; without any, keep the route's time."""
        numbers = {w.stage.piece.number for w in self.waits if w.kind in settling.SETTLES}
        read = self.once("meter", lambda: settling.readings_of(numbers))
        try:
            found = settling.settled(
                read.get(wait.stage.piece.number, []), since=wait.since, air=self._around(self.places[0])
            )
        except CalcError as wrong:
            return replace(told, reason=f"the meter readings say nothing: {wrong}")
        if found is None:
            return told
        it, first = found["it"], found["first"]
        earliest, likely, latest = (
            first + timedelta(seconds=s) if s is not None else None
            for s in (it.earliest_s, it.likely_s, it.latest_s)
        )
        if it.settled:
            earliest = likely = latest = found["last"]
        ready = likely or max(each for each in (told.ready_at, earliest) if each)
        if not it.settled and not it.fitted and it.latest_s is None:
            ready = earliest = None  # the usual time is over, yet the readings show no settled stock
        return replace(
            told, ready_at=ready, earliest_at=earliest, likely_at=likely, latest_at=latest,
            reason=settling.words(it, air_measured=self.last(self.places[0]) is not None),
            known_until=found["last"],
        )  # fmt: skip

    def _around(self, place: str) -> Pair:
        """Return the air that stock settles to: the mean daily profile, else the shop's usual air."""
        if self.last(place) is None:
            return self.usual()
        day = self.air(place, 0.0).profile.day
        return fmean(t for t, _ in day), fmean(h for _, h in day)

    def exposure_record(self, wait: Wait, until: datetime) -> dict[str, Any] | None:
        """Return the air that a wait went through, for its event; None where nothing was measured.

        ``age_s`` is the equivalent age by the likely law. ``sha256`` is the digest of the quarter hours.
        """
        clock = self._clock_of(wait)
        if not clock or wait.ready_s is None:
            return None
        return _ClockedWait(self, wait, clock).exposure_record(until)

    def place(self, wait: Wait) -> str | None:
        """Return the measured place whose air this wait depends on; None where there is none."""
        clock = self._clock_of(wait)
        return self.place_of(clock.split(".")[0], step_of(wait.since)) if clock else None

    @staticmethod
    def _clock_of(wait: Wait) -> str:
        if "product" not in wait.basis:
            return ""
        return next((s["clock"] for s in wait.stage.spec["waits"] if s["kind"] == wait.kind), "")

    def once(self, key: Any, make: Callable[[], T]) -> T:
        """Return the value kept for this key; make it the first time."""
        if key not in self.made:
            self.made[key] = make()
        return self.made[key]  # type: ignore[no-any-return]

    def product(self, kind: str, key: str, version: int) -> Product:
        return self.once(("product", kind, key, version), lambda: product_at(kind, key, version))

    def place_of(self, kind: str, first: int) -> str | None:
        """Return the measured place for a clock: coats take the finishing room where that is measured."""
        rooms = [p for p in self.places if FINISHING in p.lower()] if kind == FINISHING else []
        return next((p for p in (*rooms, self.places[0]) if self._measured_since(p, first)), None)

    def _measured_since(self, place: str, first: int) -> bool:
        last = self.last(place)
        return last is not None and last >= habit_span(first)

    def last(self, place: str) -> int | None:
        """Return the newest quarter hour measured at a place."""
        return self.once(("last", place), lambda: last_step(place))

    def measured(self, place: str, last: int) -> dict[int, Pair]:
        """Return the measured air of a place since the oldest wait began, and for its daily profile."""
        return means(place, first=min(self.begin, habit_span(last)))

    def usual(self) -> Pair:
        """Return the shop's usual temperature [°C] and humidity [%]."""
        shop = settings()
        return float(shop["shop_c"]), float(shop["shop_rh_pct"])

    def air(self, place: str, lag_s: float) -> Series:
        """Return the air of a place since the oldest wait, or that inside wood with a lag [s]."""
        made = self.once(("air", place), lambda: self._series(place))
        return self.once(("wood", place, lag_s), lambda: in_wood(made, lag_s)) if lag_s else made

    def _series(self, place: str) -> Series:
        last = self.last(place)
        assert last is not None
        measured = self.measured(place, last)
        recent = {step: pair for step, pair in measured.items() if step >= habit_span(last)}
        return series(measured, first=min(self.begin, last), profile=daily_profile(recent, self.usual()))

    def ages(self, law: Law, air_key: Any, air: Series) -> Ages:
        return self.once(("ages", law, air_key), lambda: Ages(law, air))


class _ClockedWait:
    """One wait whose time depends on a product's clock."""

    def __init__(self, clock: WaitEstimator, wait: Wait, word: str) -> None:
        self.clock, self.wait = clock, wait
        self.kind = word.split(".")[0]
        basis = wait.basis
        self.product = clock.product(self.kind, basis["product"], basis["sheet_version"])
        opens, closes = CLOCK_FIELDS[word]
        self.opens, self.closes = opens.removesuffix("_s"), closes and closes.removesuffix("_s")
        self.since_s = wait.since.timestamp()
        self.place = clock.place_of(self.kind, step_of(wait.since))
        thickness = wait.stage.piece.inputs.get("thickness_len")
        self.lag_s = lag_of(thickness) if self.kind == GLUE and thickness and self.place else 0.0
        if self.place:
            self.air_key: Any = (self.place, self.lag_s)
            self.air = clock.air(self.place, self.lag_s)
            self.known_off = (SENSOR_C, SENSOR_PCT)
            spread_c = SENSOR_C + self.air.profile.spread_c
            self.expected_off = (spread_c if self.fresh else max(spread_c, UNMEASURED_C), WEATHER_PCT)
        else:
            usual = (float(basis["temp_c"]), float(basis["rh_pct"]))
            self.air_key = usual
            first = step_of(wait.since)
            self.air = Series(first=first, air=(), known=0, profile=steady(*usual))
            self.known_off = self.expected_off = (UNMEASURED_C, WEATHER_PCT)

    def estimate(self, told: Estimate) -> Estimate:
        opening = self.laws(self.opens)
        if opening is None:
            return told
        earliest, likely, latest = self.range_of(opening)
        closing = self.laws(self.closes) if self.closes else None
        if not self.place:
            return replace(told, earliest_at=earliest, likely_at=told.ready_at, latest_at=latest)
        closes = self.range_of(closing)[0] if closing else None
        if cold := self.spoilt():
            return Estimate(
                ready_at=None, closes_at=None, suspect=True, reason=cold, known_until=self.known_until
            )
        return Estimate(
            ready_at=self.sure(likely, latest, closes),
            closes_at=closes,
            earliest_at=earliest,
            likely_at=likely,
            latest_at=latest,
            paused=self.paused(),
            reason=self.why(told, latest if closes is None else likely, opening.likely),
            cold_at=self.cold_ahead(),
            known_until=self.known_until,
        )

    def sure(
        self, likely: datetime | None, latest: datetime | None, closes: datetime | None
    ) -> datetime | None:
        """Return the time to show: the latest, so that nothing is spoilt.

        Squeeze-out is the exception. Still soft, it smears and can be looked at again; hard, it has to be
        chiselled. While some of its window is certain, a share of that is left to scrape in. Where the cold
        may have paused the wait, nobody can say for how long, so the latest time holds. A coat that comes too
        early spoils the one below.
        """
        if self.kind == FINISHING or likely is None or latest is None or closes is None:
            return latest
        if closes <= likely or self.may_pause(latest):
            return latest
        return min(latest, closes - (closes - likely) * TO_SCRAPE)

    def may_pause(self, until: datetime) -> bool:
        """Return whether the air may pause the hardening before a moment, by cold."""
        sheet = self.product.sheet
        if class_law(sheet.family).cold != PAUSES:
            return False
        coldest_air, least_c = self._air(-1, 0), float(sheet.min_temp_c)
        cold_s = first_below(coldest_air, least_c, since_s=self.since_s, until_s=until.timestamp())
        return cold_s is not None

    def exposure_record(self, until: datetime) -> dict[str, Any] | None:
        known = self.laws(self.opens)
        if not self.place or known is None:
            return None
        measured = means(self.place, first=step_of(self.wait.since), last=step_of(until))
        if not measured:
            return None
        rows = [[step, f"{temp:.2f}", f"{humidity:.2f}"] for step, (temp, humidity) in measured.items()]
        ages = self._ages(known.likely, 0)
        temps = [temp for temp, _ in measured.values()]
        return {
            "place": self.place,
            "quarters": len(rows),
            "sha256": hashlib.sha256(dumps(rows).encode("utf-8")).hexdigest(),
            "mean_c": rounded(fmean(temps), 2),
            "least_c": rounded(min(temps), 2),
            "age_s": round(ages.at(until.timestamp()) - ages.at(self.since_s)),
            "need_s": round(known.likely.need_s),
        }

    @property
    def fresh(self) -> bool:
        """Return whether the place was measured shortly before the wait began, or since.

        Otherwise only its daily profile is known.
        """
        return self.air.first + self.air.known - 1 >= step_of(self.wait.since) - STALE

    @property
    def known_until(self) -> datetime | None:
        return _moment((self.air.first + self.air.known) * STEP_S) if self.air.known else None

    def laws(self, step: str | None) -> Laws | None:
        if step is None:
            return None
        key = ("laws", self.kind, self.product.key, self.product.version, step)
        return self.clock.once(key, lambda: laws(self.product.sheet, step, self.product.points))

    def range_of(self, known: Laws) -> tuple[datetime | None, ...]:
        """Return the soonest, likely and slowest moment of a step."""
        return tuple(
            _moment(self._ages(law, sign).reach(self.since_s))
            for law, sign in ((known.earliest, 1), (known.likely, 0), (known.latest, -1))
        )

    def _ages(self, law: Law, sign: int) -> Ages:
        damp = sign * DAMP_HELPS.get(law.driver, -1)
        return self.clock.ages(law, (self.air_key, sign, damp), self._air(sign, damp))

    def _air(self, sign: int, damp: int) -> Series:
        """Return the estimated air, or its warm or cold and damp or dry bound."""
        known, expected = ((sign * c, damp * pct) for c, pct in (self.known_off, self.expected_off))
        return self.clock.once(
            ("shifted", self.air_key, sign, damp),
            lambda: shifted(self._bound(sign), known=known, expected=expected) if sign else self.air,
        )

    def _bound(self, sign: int) -> Series:
        """Return the warmest or coldest that wood may be if it follows the air sooner or later."""
        if not self.lag_s or not self.place:
            return self.air
        soon, late = (
            self.clock.air(self.place, lag_s) for lag_s in (self.lag_s / LAG_OFF, self.lag_s * LAG_OFF)
        )
        return warmer(soon, late) if sign > 0 else colder(soon, late)

    def spoilt(self) -> str:
        """Return why measured cold makes the joint or film suspect; empty where it does not."""
        sheet = self.product.sheet
        if class_law(sheet.family).cold != SPOILS:
            return ""
        until = self._set_by()
        known = (self.air.first + self.air.known) * STEP_S
        cold_s = first_below(
            self.air, float(sheet.min_temp_c), since_s=self.since_s, until_s=min(until, known)
        )
        if cold_s is None:
            return ""
        return (
            f"below the {_both(float(sheet.min_temp_c))} of {sheet.name} before it had set:"
            " test it or redo it, there is no ready time"
        )

    def cold_ahead(self) -> datetime | None:
        """Return when the air is expected to be too cold before the product has set."""
        sheet = self.product.sheet
        cold_s = first_below(self.air, float(sheet.min_temp_c), since_s=self.since_s, until_s=self._set_by())
        return _moment(cold_s)

    def _set_by(self) -> float:
        known = self.laws(SET_BY[self.kind == GLUE])
        reached = self._ages(known.likely, 0).reach(self.since_s) if known else None
        return reached if reached is not None else float("inf")

    def paused(self) -> bool:
        """Return whether the last measurement is below the least temperature, so that hardening pauses."""
        sheet = self.product.sheet
        if class_law(sheet.family).cold != PAUSES or not self.fresh:
            return False
        return self.air.air[self.air.known - 1][0] < float(sheet.min_temp_c)

    def why(self, told: Estimate, now: datetime | None, law: Law) -> str:
        """Return in words how the air delayed the ready time since the start; empty where it did not."""
        if told.ready_at is None or now is None:
            return ""
        later = now - told.ready_at
        if not self.fresh:
            return f"by the usual air of {self.place}" if abs(later) >= TOLD_FROM else ""
        return ", ".join(filter(None, (self._cold(now), self._damp(now, law)))) if later >= TOLD_FROM else ""

    def _cold(self, until: datetime) -> str:
        lowest = coldest(self.air, since_s=self.since_s, until_s=until.timestamp())
        if lowest is None or lowest[1] > float(self.wait.basis["temp_c"]) - COLDER_C:
            return ""
        return f"{'wood' if self.lag_s else self.place} fell to {_both(lowest[1])}"

    def _damp(self, until: datetime, law: Law) -> str:
        """Return in words that the air hinders hardening more than estimated at the start; else empty."""
        mean_pct = mean_humidity(self.air, since_s=self.since_s, until_s=until.timestamp())
        hinders = -DAMP_HELPS.get(law.driver, -1)
        if mean_pct is None or (mean_pct - float(self.wait.basis["rh_pct"])) * hinders < DAMPER_PCT:
            return ""
        word = "damper" if hinders > 0 else "drier"
        return f"{word} air than estimated, {rounded(mean_pct, 0)} % RH"


TOLD_FROM = timedelta(minutes=5)
"""A ready time that moved by less gets no reason."""
COLDER_C, DAMPER_PCT = 0.5, 5.0
"""Air must be colder [K] or damper [%] by this much than at the start to count as a reason."""


def _after(wait: Wait, seconds: int | None) -> datetime | None:
    return None if seconds is None else wait.since + timedelta(seconds=seconds)


def _moment(seconds: float | None) -> datetime | None:
    """Return a moment rounded up to the whole second."""
    return None if seconds is None else datetime.fromtimestamp(-(-seconds // 1), tz=UTC)


def _both(temp_c: float) -> str:
    value = rounded(temp_c, 1)
    return f"{format_temperature(value, 'F')} ({format_temperature(value, 'C')})"
