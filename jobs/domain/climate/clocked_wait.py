"""One wait whose time depends on a product's clock: its range, and what the air does to it."""

import hashlib
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from statistics import fmean
from typing import Any

from calcs.curing.hardening import SET_BY
from calcs.curing.heat_lag import LAG_OFF, lag_of
from calcs.curing.laws import PAUSES, SPOILS, Laws, class_law, laws
from calcs.curing.rates import Law
from calcs.curing.series import (
    STEP_S,
    Series,
    colder,
    shifted,
    steady,
    warmer,
)
from calcs.curing.series_ages import Ages, coldest, first_below, mean_humidity
from calcs.kit.amounts import format_temperature
from calcs.kit.rounding import places as rounded
from jobs.core.canonical_json import dumps
from jobs.domain.climate.air_history import means, step_of
from jobs.domain.climate.air_of_places import FINISHING, AirOfPlaces
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
GLUE = "glue"


TOLD_FROM = timedelta(minutes=5)
"""A ready time that moved by less gets no reason."""
COLDER_C, DAMPER_PCT = 0.5, 5.0
"""Air must be colder [K] or damper [%] by this much than at the start to count as a reason."""


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


class ClockedWait:
    """One wait whose time depends on a product's clock."""

    def __init__(self, places: AirOfPlaces, wait: Wait, word: str) -> None:
        self.air_of_places, self.wait = places, wait
        self.kind = word.split(".")[0]
        basis = wait.basis
        self.product = places.product(self.kind, basis["product"], basis["sheet_version"])
        opens, closes = CLOCK_FIELDS[word]
        self.opens, self.closes = opens.removesuffix("_s"), closes and closes.removesuffix("_s")
        self.since_s = wait.since.timestamp()
        self.place = places.place_of(self.kind, step_of(wait.since))
        thickness = wait.stage.piece.inputs.get("thickness_len")
        self.lag_s = lag_of(thickness) if self.kind == GLUE and thickness and self.place else 0.0
        if self.place:
            self.air_key: Any = (self.place, self.lag_s)
            self.air = places.air(self.place, self.lag_s)
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
            ready_at=self.safe_ready_at(likely, latest, closes),
            closes_at=closes,
            earliest_at=earliest,
            likely_at=likely,
            latest_at=latest,
            paused=self.paused(),
            reason=self.why(told, latest if closes is None else likely, opening.likely),
            cold_at=self.cold_ahead(),
            known_until=self.known_until,
        )

    def safe_ready_at(
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
        return self.air_of_places.memoized(key, lambda: laws(self.product.sheet, step, self.product.points))

    def range_of(self, known: Laws) -> tuple[datetime | None, ...]:
        """Return the soonest, likely and slowest moment of a step."""
        return tuple(
            _moment(self._ages(law, sign).reach(self.since_s))
            for law, sign in ((known.earliest, 1), (known.likely, 0), (known.latest, -1))
        )

    def _ages(self, law: Law, sign: int) -> Ages:
        damp = sign * DAMP_HELPS.get(law.driver, -1)
        return self.air_of_places.ages(law, (self.air_key, sign, damp), self._air(sign, damp))

    def _air(self, sign: int, damp: int) -> Series:
        """Return the estimated air, or its warm or cold and damp or dry bound."""
        known, expected = ((sign * c, damp * pct) for c, pct in (self.known_off, self.expected_off))
        return self.air_of_places.memoized(
            ("shifted", self.air_key, sign, damp),
            lambda: shifted(self._bound(sign), known=known, expected=expected) if sign else self.air,
        )

    def _bound(self, sign: int) -> Series:
        """Return the warmest or coldest that wood may be if it follows the air sooner or later."""
        if not self.lag_s or not self.place:
            return self.air
        soon, late = (
            self.air_of_places.air(self.place, lag_s)
            for lag_s in (self.lag_s / LAG_OFF, self.lag_s * LAG_OFF)
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


def _moment(seconds: float | None) -> datetime | None:
    """Return a moment rounded up to the whole second."""
    return None if seconds is None else datetime.fromtimestamp(-(-seconds // 1), tz=UTC)


def _both(temp_c: float) -> str:
    value = rounded(temp_c, 1)
    return f"{format_temperature(value, 'F')} ({format_temperature(value, 'C')})"
