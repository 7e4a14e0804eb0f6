"""A place's air as a series of quarter hours: measured, mended where it has gaps, and expected after it.

The law is that of `calcs.curing.age`. Ages are summed along the series once; each wait reads its share.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import exp
from statistics import fmean, pstdev

STEP_S = 900
DAY = 86400 // STEP_S
SHORT_GAP = 8
"""Steps over which a gap is bridged in a straight line; a longer one is filled by the habit of the place and
what is left of the departures from it at both ends."""
FADE_S = 6 * 3600.0
"""Time in which today's departure from the habit fades to 37 %: common practice, no source."""
SHOWN_S = 2 * 86400

Pair = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class DailyProfile:
    """What a place usually is at each quarter hour of the day: temperature [°C] and humidity [%].

    ``spread_c`` is how far its days differ from that: standard deviation [°C].
    """

    day: tuple[Pair, ...]
    spread_c: float

    def at(self, step: int) -> Pair:
        """Usual air at a step, counted from the epoch."""
        return self.day[step % DAY]


@dataclass(frozen=True, kw_only=True)
class Series:
    """Air from step ``first`` on; the first ``known`` steps were measured or mended, the rest is expected.

    Steps are quarter hours since the epoch. After the last one every day is as ``habit`` says.
    """

    first: int
    air: tuple[Pair, ...]
    known: int
    profile: DailyProfile

    def at(self, n: int) -> Pair:
        """Air so many steps after the first."""
        return self.air[n] if n < len(self.air) else self.profile.at(self.first + n)


def steady(temp_c: float, rh_pct: float) -> DailyProfile:
    """A place that is always the same."""
    return DailyProfile(day=((temp_c, rh_pct),) * DAY, spread_c=0.0)


def daily_profile(measured: Mapping[int, Pair], usual: Pair) -> DailyProfile:
    """The habit of a place from the steps measured in recent weeks.

    Parameters
    ----------
    measured : mapping
        Step since the epoch to temperature [°C] and relative humidity [%].
    usual : pair
        The shop's own figures, for what was never measured at all.

    Notes
    -----
    Each quarter hour of the day is the mean of its measurements; one without any takes the nearest that has.
    """
    by_quarter: list[list[Pair]] = [[] for _ in range(DAY)]
    for step, pair in measured.items():
        by_quarter[step % DAY].append(pair)
    means = [(fmean(t for t, _ in q), fmean(h for _, h in q)) if q else None for q in by_quarter]
    there = [n for n, mean in enumerate(means) if mean is not None]
    if not there:
        return steady(*usual)
    day = tuple(
        mean or means[min(there, key=lambda m: min((m - n) % DAY, (n - m) % DAY))] or usual
        for n, mean in enumerate(means)
    )
    off = [pair[0] - day[step % DAY][0] for step, pair in measured.items()]
    return DailyProfile(day=day, spread_c=pstdev(off) if len(off) > 1 else 0.0)


def series(measured: Mapping[int, Pair], *, first: int, profile: DailyProfile) -> Series:
    """The air from a step on: measured, mended, and two days of what is expected after the last measurement.

    Parameters
    ----------
    measured : mapping
        Step since the epoch to temperature [°C] and relative humidity [%].
    first : int
        Step to begin with.
    habit : DailyProfile

    Notes
    -----
    What is expected starts from the last measurement and comes back to the profile.
    """
    steps = sorted(step for step in measured if step >= first)
    air: list[Pair] = []
    last = first - 1
    for step in steps:
        air += _gap(measured, profile, last, step)
        air.append(measured[step])
        last = step
    known = len(air)
    off = _off(measured, profile, last) if steps else (0.0, 0.0)
    for n in range(1, SHOWN_S // STEP_S + 1):
        fade = exp(-n * STEP_S / FADE_S)
        temp, humidity = profile.at(last + n)
        air.append((temp + off[0] * fade, min(100.0, max(0.0, humidity + off[1] * fade))))
    return Series(first=first, air=tuple(air), known=known, profile=profile)


def _gap(measured: Mapping[int, Pair], profile: DailyProfile, last: int, step: int) -> list[Pair]:
    """The steps between two measurements."""
    missing = step - last - 1
    if missing <= 0:
        return []
    if last in measured and missing <= SHORT_GAP:
        a, b, parts = measured[last], measured[step], missing + 1
        return [(a[0] + (b[0] - a[0]) * n / parts, a[1] + (b[1] - a[1]) * n / parts) for n in range(1, parts)]
    before, after = (_off(measured, profile, each) for each in (last, step))
    return [_departed(profile.at(last + n), before, n, after, missing + 1 - n) for n in range(1, missing + 1)]


def _off(measured: Mapping[int, Pair], profile: DailyProfile, step: int) -> Pair:
    """How far a step departs from the habit; not at all where it was not measured."""
    usual = profile.at(step)
    now = measured.get(step, usual)
    return now[0] - usual[0], now[1] - usual[1]


def _departed(usual: Pair, before: Pair, since: int, after: Pair, until: int) -> Pair:
    """The habit with what is left of the departures so many steps before it and after it."""
    whole = since + until
    a = exp(-since * STEP_S / FADE_S) * until / whole
    b = exp(-until * STEP_S / FADE_S) * since / whole
    humidity = usual[1] + before[1] * a + after[1] * b
    return usual[0] + before[0] * a + after[0] * b, min(100.0, max(0.0, humidity))


def in_wood(series: Series, lag_s: float) -> Series:
    """The temperature inside wood that follows the air, first order; the humidity stays the air's.

    Parameters
    ----------
    lag_s : float
        See `calcs.curing.age.lag_of` [s].
    """
    fade = exp(-STEP_S / lag_s)
    wood, found = series.air[0][0] if series.air else 0.0, []
    for temp, humidity in series.air:
        mean = temp + (wood - temp) * lag_s / STEP_S * (1 - fade)
        found.append((mean, humidity))
        wood = temp + (wood - temp) * fade
    return Series(first=series.first, air=tuple(found), known=series.known, profile=series.profile)


def colder(one: Series, other: Series) -> Series:
    """Of two series over the same steps the colder temperature at each; the humidity of the first."""
    return _picked(min, one, other)


def warmer(one: Series, other: Series) -> Series:
    """Of two series over the same steps the warmer temperature at each; the humidity of the first."""
    return _picked(max, one, other)


def _picked(pick: Callable[[float, float], float], one: Series, other: Series) -> Series:
    air = tuple((pick(a[0], b[0]), a[1]) for a, b in zip(one.air, other.air, strict=True))
    return Series(first=one.first, air=air, known=one.known, profile=one.profile)


def shifted(series: Series, *, known: Pair, expected: Pair) -> Series:
    """The same air warmer and damper by so much where it was measured, and where it is expected [°C, %].

    Humidity stays between dry and saturated.
    """
    air = tuple(_moved(pair, known if n < series.known else expected) for n, pair in enumerate(series.air))
    day = tuple(_moved(pair, expected) for pair in series.profile.day)
    return Series(
        first=series.first,
        air=air,
        known=series.known,
        profile=DailyProfile(day=day, spread_c=series.profile.spread_c),
    )


def _moved(pair: Pair, by: Pair) -> Pair:
    return pair[0] + by[0], min(100.0, max(0.0, pair[1] + by[1]))
