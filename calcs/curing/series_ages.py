"""Equivalent age along a series of air, and the coldest and dampest of a span.

The sum of rates is taken once along the series and once over the usual day. Every wait then reads its own
share by bisection.

References
----------
.. [1] ASTM C1074, equivalent age: written for concrete, borrowed here (from memory).
"""

from __future__ import annotations

from bisect import bisect_left
from itertools import accumulate
from math import ceil
from statistics import fmean

from calcs.curing.rates import Law, rate
from calcs.curing.series import DAY, STEP_S, Pair, Series

_ROUND_C, _ROUND_PCT = 20, 1  # rates are worked out for each 0.05 °C and each 1 % of humidity


class Ages:
    """Equivalent age of one law, summed along a series.

    Parameters
    ----------
    law : Law
        Rate of one step of one product.
    series : Series
        Air of the place, or temperature inside the wood.

    Notes
    -----
    Rates are worked out for each 0.05 °C and each 1 % of humidity, and shared by all steps alike.
    """

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
        """Return the age summed from the start of the series to a moment [s].

        Parameters
        ----------
        moment_s : float
            Moment [s since the epoch]; after the series the usual day counts.
        """
        place = moment_s / STEP_S - self.series.first
        whole = min(max(int(place), 0), len(self.sums) - 1)
        if whole == len(self.sums) - 1:
            return self.sums[whole] + self._usual(place - whole, whole)
        return self.sums[whole] + (self.sums[whole + 1] - self.sums[whole]) * max(place - whole, 0)

    def reach(self, since_s: float, need_s: float | None = None) -> float | None:
        """Return when a wait has the age it needs [s since the epoch]; None for never.

        Parameters
        ----------
        since_s : float
            Start of the wait [s since the epoch].
        need_s : float, optional
            Equivalent age wanted [s]; the law's own by default.
        """
        wanted = self.at(since_s) + (self.law.need_s if need_s is None else need_s)
        if wanted <= self.sums[-1]:
            n = max(bisect_left(self.sums, wanted), 1)
            before, after = self.sums[n - 1], self.sums[n]
            share = (wanted - before) / (after - before) if after > before else 0.0
            return (self.series.first + n - 1 + share) * STEP_S
        return self._reach_after(wanted - self.sums[-1])

    def _usual(self, steps: float, place: int) -> float:
        """Return the age that so many steps after the end of the series bring [s]."""
        begin = (self.series.first + place) % DAY
        days, rest = divmod(begin + steps, DAY)
        whole = int(rest)
        part = self.daily[whole]
        if whole < DAY:
            part += (self.daily[whole + 1] - self.daily[whole]) * (rest - whole)
        return days * self.daily[-1] + part - self.daily[begin]

    def _reach_after(self, left_s: float) -> float | None:
        """Return when usual days bring the age still missing [s since the epoch]; None if never."""
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
    """Return the first moment of a span at which it is colder than a limit [s since the epoch]; None if at
    none.

    Parameters
    ----------
    series : Series
        Air of the place, or temperature inside the wood.
    least_c : float
        Limit [°C].
    since_s, until_s : float
        Span [s since the epoch]. ``until_s`` may be infinite: after the series one usual day decides for all.
    """
    begin = max(int(since_s // STEP_S) - series.first, 0)
    most = max(begin, len(series.air)) + DAY
    for n in range(begin, ceil(min(until_s / STEP_S - series.first, most))):
        if series.at(n)[0] < least_c:
            return max((series.first + n) * STEP_S, since_s)
    return None


def coldest(series: Series, *, since_s: float, until_s: float) -> tuple[float, float] | None:
    """Return the coldest measured step of a span: its moment [s since the epoch] and temperature [°C].

    None where nothing was measured in the span.
    """
    found = [(series.air[n][0], n) for n in _measured(series, since_s, until_s)]
    if not found:
        return None
    temp, n = min(found)
    return (series.first + n) * STEP_S, temp


def mean_humidity(series: Series, *, since_s: float, until_s: float) -> float | None:
    """Return the mean humidity measured in a span [%]; None where nothing was."""
    found = [series.air[n][1] for n in _measured(series, since_s, until_s)]
    return fmean(found) if found else None


def _measured(series: Series, since_s: float, until_s: float) -> range:
    """Return the places of the measured steps of a span."""
    begin = max(int(since_s // STEP_S) - series.first, 0)
    return range(begin, min(series.known, ceil(until_s / STEP_S) - series.first))
