"""Equivalent age along a series of air, and what the series says of a span."""

from __future__ import annotations

from bisect import bisect_left
from itertools import accumulate
from math import ceil
from statistics import fmean

from calcs.curing.rates import Law, rate
from calcs.curing.series import DAY, STEP_S, Pair, Series

_ROUND_C, _ROUND_PCT = 20, 1  # rates are worked out for each 0.05 °C and each 1 % of humidity


class Ages:
    """The equivalent age of one law along a series."""

    def __init__(self, law: Law, series: Series) -> None:
        self.law, self.series = law, series
        rates: dict[tuple[int, int], float] = {}

        def speed(pair: Pair) -> float:
            key = (round(pair[0] * _ROUND_C), round(pair[1] * _ROUND_PCT))
            if key not in rates:
                rates[key] = rate(law, key[0] / _ROUND_C, key[1] / _ROUND_PCT)
            return rates[key]

        self.sums = [0.0, *accumulate(speed(pair) * STEP_S for pair in series.air)]
        self.daily = [0.0, *accumulate(speed(pair) * STEP_S for pair in series.profile.day)]

    def at(self, moment_s: float) -> float:
        """Age summed from the start of the series to a moment [s since the epoch]."""
        place = moment_s / STEP_S - self.series.first
        whole = min(max(int(place), 0), len(self.sums) - 1)
        if whole == len(self.sums) - 1:
            return self.sums[whole] + self._usual(place - whole, whole)
        return self.sums[whole] + (self.sums[whole + 1] - self.sums[whole]) * max(place - whole, 0)

    def reach(self, since_s: float, need_s: float | None = None) -> float | None:
        """When a wait begun at ``since_s`` has the age that is needed [s since the epoch]; None for never."""
        wanted = self.at(since_s) + (self.law.need_s if need_s is None else need_s)
        if wanted <= self.sums[-1]:
            n = max(bisect_left(self.sums, wanted), 1)
            before, after = self.sums[n - 1], self.sums[n]
            share = (wanted - before) / (after - before) if after > before else 0.0
            return (self.series.first + n - 1 + share) * STEP_S
        return self._reach_after(wanted - self.sums[-1])

    def _usual(self, steps: float, place: int) -> float:
        """Age that so many steps after the end of the series bring."""
        begin = (self.series.first + place) % DAY
        days, rest = divmod(begin + steps, DAY)
        whole = int(rest)
        part = self.daily[whole]
        if whole < DAY:
            part += (self.daily[whole + 1] - self.daily[whole]) * (rest - whole)
        return days * self.daily[-1] + part - self.daily[begin]

    def _reach_after(self, left_s: float) -> float | None:
        if self.daily[-1] <= 0:
            return None
        end = self.series.first + len(self.series.air)
        begin = end % DAY
        days, rest = divmod(self.daily[begin] + left_s, self.daily[-1])
        n = max(bisect_left(self.daily, rest), 1)
        before, after = self.daily[n - 1], self.daily[n]
        share = (rest - before) / (after - before) if after > before else 0.0
        return (end - begin + days * DAY + n - 1 + share) * STEP_S


def first_below(series: Series, least_c: float, *, since_s: float, until_s: float) -> float | None:
    """The first moment in a span at which it is colder [s since the epoch]; None if at none.

    ``until_s`` may be infinite: after the series one day of the habit says what all of them are.
    """
    begin = max(int(since_s // STEP_S) - series.first, 0)
    most = max(begin, len(series.air)) + DAY
    for n in range(begin, ceil(min(until_s / STEP_S - series.first, most))):
        if series.at(n)[0] < least_c:
            return max((series.first + n) * STEP_S, since_s)
    return None


def coldest(series: Series, *, since_s: float, until_s: float) -> tuple[float, float] | None:
    """The coldest measured step in a span: when [s since the epoch] and how cold [°C]."""
    found = [(series.air[n][0], n) for n in _measured(series, since_s, until_s)]
    if not found:
        return None
    temp, n = min(found)
    return (series.first + n) * STEP_S, temp


def mean_humidity(series: Series, *, since_s: float, until_s: float) -> float | None:
    """The mean humidity measured in a span [%]; None where nothing was."""
    found = [series.air[n][1] for n in _measured(series, since_s, until_s)]
    return fmean(found) if found else None


def _measured(series: Series, since_s: float, until_s: float) -> range:
    begin = max(int(since_s // STEP_S) - series.first, 0)
    return range(begin, min(series.known, ceil(until_s / STEP_S) - series.first))
