"""Air of a place as a series of quarter hours: measured, filled where it has gaps, expected after that.

The law is that of `calcs.curing.age`. Ages are summed along the series once (`calcs.curing.series_ages`), so
that many waits can be asked at once. Expected air returns from the last measurement to the usual day of the
place.
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
    """Usual day of a place, by quarter hours.

    Attributes
    ----------
    day : tuple of (float, float)
        Temperature [°C] and relative humidity [%] of each of the 96 quarter hours.
    spread_c : float
        Standard deviation of measured temperatures from that day [°C].
    """

    day: tuple[Pair, ...]
    spread_c: float

    def at(self, step: int) -> Pair:
        """Return the usual air at a step counted from the epoch [°C, %]."""
        return self.day[step % DAY]


@dataclass(frozen=True, kw_only=True)
class Series:
    """Air from a step on; after the last step every day is as the profile says.

    Attributes
    ----------
    first : int
        First step: quarter hours since the epoch.
    air : tuple of (float, float)
        Temperature [°C] and relative humidity [%] of each step.
    known : int
        Number of steps that were measured or filled; the rest is expected.
    profile : DailyProfile
        Usual day of the place.
    """

    first: int
    air: tuple[Pair, ...]
    known: int
    profile: DailyProfile

    def at(self, n: int) -> Pair:
        """Return the air so many steps after the first [°C, %]."""
        return self.air[n] if n < len(self.air) else self.profile.at(self.first + n)


def steady(temp_c: float, rh_pct: float) -> DailyProfile:
    """Return the profile of a place that is always the same [°C, %]."""
    return DailyProfile(day=((temp_c, rh_pct),) * DAY, spread_c=0.0)


def daily_profile(measured: Mapping[int, Pair], usual: Pair) -> DailyProfile:
    """Return the usual day of a place from the steps measured in recent weeks.

    Parameters
    ----------
    measured : mapping
        Step since the epoch to temperature [°C] and relative humidity [%].
    usual : pair
        The shop's own figures, used where nothing was measured at all [°C, %].

    Returns
    -------
    DailyProfile

    Notes
    -----
    Each quarter hour of the day is the mean of its measurements. One without any takes the nearest that has.
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
    """Return the air from a step on: measured, filled, and two days expected after the last measurement.

    Parameters
    ----------
    measured : mapping
        Step since the epoch to temperature [°C] and relative humidity [%].
    first : int
        Step to begin with.
    profile : DailyProfile
        Usual day of the place.

    Returns
    -------
    Series
        Humidity kept between 0 and 100 %.

    Notes
    -----
    Expected air = profile + last departure x exp(-t / 6 h). Gaps up to two hours are bridged in a straight
    line. Longer ones follow the profile with what is left of the departures at both ends. The six hours are
    common practice, no source.
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
    """Return the air of the steps between two measurements [°C, %]."""
    missing = step - last - 1
    if missing <= 0:
        return []
    if last in measured and missing <= SHORT_GAP:
        a, b, parts = measured[last], measured[step], missing + 1
        return [(a[0] + (b[0] - a[0]) * n / parts, a[1] + (b[1] - a[1]) * n / parts) for n in range(1, parts)]
    before, after = (_off(measured, profile, each) for each in (last, step))
    return [_departed(profile.at(last + n), before, n, after, missing + 1 - n) for n in range(1, missing + 1)]


def _off(measured: Mapping[int, Pair], profile: DailyProfile, step: int) -> Pair:
    """Return the departure of a step from the profile [°C, %]; zero where it was not measured."""
    usual = profile.at(step)
    now = measured.get(step, usual)
    return now[0] - usual[0], now[1] - usual[1]


def _departed(usual: Pair, before: Pair, since: int, after: Pair, until: int) -> Pair:
    """Return the profile with what is left of two departures [°C, %].

    Parameters
    ----------
    usual : pair
        Profile at the step [°C, %].
    before, after : pair
        Departures at both ends of the gap [°C, %].
    since, until : int
        Steps from the earlier end, and to the later one.

    Notes
    -----
    Each departure fades by exp(-t / 6 h) and is weighted by the nearness of its end, so both ends meet
    exactly.
    """
    whole = since + until
    a = exp(-since * STEP_S / FADE_S) * until / whole
    b = exp(-until * STEP_S / FADE_S) * since / whole
    humidity = usual[1] + before[1] * a + after[1] * b
    return usual[0] + before[0] * a + after[0] * b, min(100.0, max(0.0, humidity))


def in_wood(series: Series, lag_s: float) -> Series:
    """Return the temperature inside wood that follows the air; the humidity stays the air's.

    Parameters
    ----------
    series : Series
        Air of the place.
    lag_s : float
        See `calcs.curing.heat_lag.lag_of` [s].

    Notes
    -----
    First order, exact for steps of steady air; each step holds its mean, as in `calcs.curing.age.in_wood`.
    """
    fade = exp(-STEP_S / lag_s)
    wood, found = series.air[0][0] if series.air else 0.0, []
    for temp, humidity in series.air:
        mean = temp + (wood - temp) * lag_s / STEP_S * (1 - fade)
        found.append((mean, humidity))
        wood = temp + (wood - temp) * fade
    return Series(first=series.first, air=tuple(found), known=series.known, profile=series.profile)


def colder(one: Series, other: Series) -> Series:
    """Return the colder temperature of two series at each step, with the humidity of the first."""
    return _picked(min, one, other)


def warmer(one: Series, other: Series) -> Series:
    """Return the warmer temperature of two series at each step, with the humidity of the first."""
    return _picked(max, one, other)


def _picked(pick: Callable[[float, float], float], one: Series, other: Series) -> Series:
    """Return two series over the same steps joined by ``pick`` on their temperatures."""
    air = tuple((pick(a[0], b[0]), a[1]) for a, b in zip(one.air, other.air, strict=True))
    return Series(first=one.first, air=air, known=one.known, profile=one.profile)


def shifted(series: Series, *, known: Pair, expected: Pair) -> Series:
    """Return the same air, warmer and damper by given amounts.

    Parameters
    ----------
    known, expected : pair
        Shift where the air was measured, and where it is expected [°C, %].

    Notes
    -----
    Humidity stays between 0 and 100 %. The profile shifts with the expected air.
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
    """Return one air shifted by temperature and humidity [°C, %], humidity kept between 0 and 100 %."""
    return pair[0] + by[0], min(100.0, max(0.0, pair[1] + by[1]))
