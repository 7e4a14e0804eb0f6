"""Wait estimates: when each wait is ready, by the measured and expected air of its place.

The estimates depend on log, sheets and readings alone, never on the present time. A wait without measurements
keeps the time told at its start. Its range is what the shop's usual figures leave open.
"""

from collections.abc import Collection, Iterable
from dataclasses import replace
from datetime import datetime, timedelta
from statistics import fmean
from typing import Any

from calcs.curing.series import (
    DAY,
    Pair,
)
from calcs.kit.errors import CalcError
from jobs.domain.climate import settling
from jobs.domain.climate.air_history import step_of
from jobs.domain.climate.air_of_places import AirOfPlaces
from jobs.domain.climate.clocked_wait import ClockedWait, Estimate
from jobs.domain.climate.estimate_reasons import correction_notes
from jobs.models import Wait


class WaitEstimator(AirOfPlaces):
    """Estimates of many waits; every series and every law is computed once."""

    def __init__(self, waits: Iterable[Wait], *, changed: Collection[int] | None = None) -> None:
        """Take the waits to estimate; ``changed`` limits those whose log is searched for corrections."""
        self.waits = list(waits)
        self.changed = [w for w in self.waits if changed is None or w.id in changed]
        super().__init__(begin=min((step_of(w.since) for w in self.waits), default=0) - DAY)

    def estimate(self, wait: Wait) -> Estimate:
        """Return the estimate of this wait, with the reasons for a change."""
        found = self._estimate(wait)
        by_people = self.corrections_of(wait)
        if not by_people:
            return found
        return replace(found, reason="; ".join(filter(None, (found.reason or wait.reason, *by_people))))

    def corrections_of(self, wait: Wait) -> list[str]:
        """Return people's corrections of a wait since it began, in words."""
        return self.memoized("corrections", lambda: correction_notes(self.changed)).get(wait.id, [])

    def _estimate(self, wait: Wait) -> Estimate:
        told = Estimate(ready_at=_after(wait, wait.ready_s), closes_at=_after(wait, wait.closes_s))
        if wait.suspect or wait.ready_s is None:
            return replace(told, ready_at=None, closes_at=None)
        clock = self._clock_of(wait)
        if not clock:
            return self._settling(wait, told) if wait.kind in settling.SETTLES else told
        return ClockedWait(self, wait, clock).estimate(told)

    def _settling(self, wait: Wait, told: Estimate) -> Estimate:
        """Estimate by the moisture readings of the piece's boards; without any, by thickness at least."""
        numbers = {w.stage.piece.number for w in self.waits if w.kind in settling.SETTLES}
        read = self.memoized("meter", lambda: settling.readings_of(numbers))
        try:
            found = settling.settled(
                read.get(wait.stage.piece.number, []), since=wait.since, air=self._around(self.places[0])
            )
        except CalcError as wrong:
            return replace(told, reason=f"the meter readings say nothing: {wrong}")
        if found is None:
            return self._unread(wait, told) if wait.kind == settling.ARRIVED else told
        it, first = found["it"], found["first"]
        earliest, likely, latest = (
            first + timedelta(seconds=s) if s is not None else None
            for s in (it.earliest_s, it.likely_s, it.latest_s)
        )
        if it.settled:
            earliest = likely = latest = found["last"]
        ready = likely or max(each for each in (told.ready_at, earliest) if each)
        if not it.settled and not it.fitted and it.latest_s is None:
            ready = earliest = None  # the time by thickness is over, yet the readings show no settled stock
        return replace(
            told, ready_at=ready, earliest_at=earliest, likely_at=likely, latest_at=latest,
            reason=settling.words(it, air_measured=self.last(self.places[0]) is not None),
            known_until=found["last"],
        )  # fmt: skip

    def _unread(self, wait: Wait, told: Estimate) -> Estimate:
        """Estimate stock without readings: the route's time, or longer where thick boards take longer."""
        try:
            found = settling.unread(wait.stage.piece, air=self._around(self.places[0]))
        except CalcError:
            return told
        ready = found and _after(wait, found[0])
        if found is None or ready is None or told.ready_at is None or ready <= told.ready_at:
            return told
        return replace(told, ready_at=ready, reason=found[1])

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
        return ClockedWait(self, wait, clock).exposure_record(until)

    def place(self, wait: Wait) -> str | None:
        """Return the measured place whose air this wait depends on; None where there is none."""
        clock = self._clock_of(wait)
        return self.place_of(clock.split(".")[0], step_of(wait.since)) if clock else None

    @staticmethod
    def _clock_of(wait: Wait) -> str:
        if "product" not in wait.basis:
            return ""
        return next((s["clock"] for s in wait.stage.spec["waits"] if s["kind"] == wait.kind), "")


def _after(wait: Wait, seconds: int | None) -> datetime | None:
    return None if seconds is None else wait.since + timedelta(seconds=seconds)
