"""Simulated shops whose truth the estimator does not know: their air, sensor, wood and glue.

Everything is drawn from a seed. Truth steps every five minutes. The sensor reports every ten and has a bias,
noise and gaps of hours. What hardens follows one of several forms of rate law with drawn parameters. Those
of reactions are published; the others contradict nothing in print.
"""

import random
from collections.abc import Callable
from dataclasses import dataclass
from itertools import accumulate
from math import cos, exp, pi

from calcs.curing.series import STEP_S, Pair

TICK_S, HOUR_S, DAY_S = 300, 3600, 86400
FIRST_S = 1_771_200_000 // DAY_S * DAY_S  # a midnight
HISTORY_D, SHOWN_D = 15, 12
SPAN = (HISTORY_D + SHOWN_D) * DAY_S // TICK_S


@dataclass(frozen=True, kw_only=True)
class Truth:
    """One shop: true air [°C, %] at each tick, the sensor's means by quarter hour, how the wood follows."""

    air: list[float]
    humidity: list[float]
    said: dict[int, Pair]
    lag_s: float


@dataclass(frozen=True, kw_only=True)
class Cure:
    """The true hardening of one product: relative speed at a temperature [°C] and humidity [%]."""

    name: str
    speed: Callable[[float, float], float]


def arrhenius(draw: random.Random, ref_c: float) -> Cure:
    """Return an Arrhenius law; activation energy over gas constant from 4500 to 8000 K."""
    k = draw.uniform(4500, 8000)
    ref = 1 / (ref_c + 273.15)
    return Cure(name="Arrhenius", speed=lambda c, _: exp(-k * (1 / (c + 273.15) - ref)))


def tenfold(draw: random.Random, ref_c: float) -> Cure:
    """Return a law that is 1.6 to 2.6 times faster for each 10 °C."""
    q = draw.uniform(1.6, 2.6)
    return Cure(name="Q10", speed=lambda c, _: float(q ** ((c - ref_c) / 10)))


def datum(draw: random.Random, ref_c: float) -> Cure:
    """Return a law in proportion to the degrees above a datum of -10 to 0 °C; Nurse 1949, Saul 1951."""
    zero = draw.uniform(-10, 0)
    return Cure(name="Nurse-Saul", speed=lambda c, _: max(0.0, (c - zero) / (ref_c - zero)))


LAWS = (arrhenius, tenfold, datum)
Form = Callable[[random.Random, float], Cure]


def vapour(temp_c: float, rh_pct: float) -> float:
    """Return the pressure of water in air [hPa]: Magnus form, Alduchov and Eskridge 1996, from memory."""
    return rh_pct / 100 * 6.1094 * exp(17.625 * temp_c / (temp_c + 243.04))


def alike(draw: random.Random, ref_c: float) -> Cure:
    """Return the sheet's time at any temperature."""
    return Cure(name="alike", speed=lambda c, h: 1.0)


def through_wood(draw: random.Random, ref_c: float) -> Cure:
    """Return a law as bound water moves in wood: 35 to 39 kJ/mol, Siau 1984, from memory."""
    k = draw.uniform(35000, 39000) / 8.314
    ref = 1 / (ref_c + 273.15)
    return Cure(name="through wood", speed=lambda c, _: exp(-k * (1 / (c + 273.15) - ref)))


def dalton(draw: random.Random, ref_c: float) -> Cure:
    """Return a law in proportion to what the air can still take up, Dalton 1802."""
    ref = vapour(ref_c, 50)
    return Cure(name="Dalton", speed=lambda c, h: (vapour(c, 100) - vapour(c, h)) / ref)


def dry_and_grown_together(draw: random.Random, ref_c: float) -> Cure:
    """Return the slower of two laws: water has to leave, and the film has to coalesce."""
    dries, grows = dalton(draw, ref_c), arrhenius(draw, ref_c)
    return Cure(name="slower of both", speed=lambda c, h: min(dries.speed(c, h), grows.speed(c, h)))


def dry_air(draw: random.Random, ref_c: float) -> Cure:
    """Return a law by the humidity in percent, and so many times faster for each 10 °C."""
    warm = tenfold(draw, ref_c)
    return Cure(name="dry air", speed=lambda c, h: (100 - h) / 50 * warm.speed(c, h))


def by_vapour(draw: random.Random, ref_c: float) -> Cure:
    """Return a law in proportion to the water in the air."""
    ref = vapour(ref_c, 50)
    return Cure(name="by vapour", speed=lambda c, h: vapour(c, h) / ref)


def through_skin(draw: random.Random, ref_c: float) -> Cure:
    """Return a law by the root of the water in the air, which comes through what is hard already."""
    ref = vapour(ref_c, 50)
    return Cure(name="through skin", speed=lambda c, h: (vapour(c, h) / ref) ** 0.5)


def damp_and_warm(draw: random.Random, ref_c: float) -> Cure:
    """Return a law by the humidity in percent, and by the temperature as a reaction."""
    warm = arrhenius(draw, ref_c)
    return Cure(name="damp and warm", speed=lambda c, h: h / 50 * warm.speed(c, h))


INTO_WOOD = (alike, through_wood, tenfold)
DRIES = (dalton, dry_and_grown_together, dry_air)
TAKES_WATER = (by_vapour, through_skin, damp_and_warm)

Air = Callable[[random.Random, int], tuple[list[float], list[float]]]


def steady(draw: random.Random, since: int) -> tuple[list[float], list[float]]:
    """Return a shop heated day and night, by a thermostat that swings."""
    base = draw.uniform(18, 22)
    return [base] * SPAN, _weather(draw, 0.5)


def set_back(draw: random.Random, since: int) -> tuple[list[float], list[float]]:
    """Return a shop heated by day, let down at night to a floor that the heating holds."""
    warm, floor = draw.uniform(18, 21.5), draw.uniform(7, 13)
    on, off = draw.uniform(6, 8), draw.uniform(16, 19)
    down, up = draw.uniform(2, 6) * HOUR_S, draw.uniform(0.5, 2) * HOUR_S
    wanted = [warm if on <= n * TICK_S % DAY_S / HOUR_S < off else floor for n in range(SPAN)]
    return _follow(wanted, down, up), _weather(draw, 0.7)


def unheated(draw: random.Random, since: int) -> tuple[list[float], list[float]]:
    """Return an unheated shop that follows the season and the hour."""
    mean, swing = draw.uniform(11, 19), draw.uniform(2, 5)
    wave = [mean - swing * cos(2 * pi * (n * TICK_S % DAY_S / DAY_S - 0.15)) for n in range(SPAN)]
    return wave, _weather(draw, 1.8)


def snap(draw: random.Random, since: int) -> tuple[list[float], list[float]]:
    """Return a shop with set-back nights whose heating fails for most of a day during the wait."""
    air, weather = set_back(draw, since)
    begin = since + int(draw.uniform(0, 12) * HOUR_S / TICK_S)
    end, cold = begin + int(draw.uniform(8, 30) * HOUR_S / TICK_S), draw.uniform(2, 8)
    down, up = draw.uniform(5, 10) * HOUR_S, draw.uniform(1, 3) * HOUR_S
    now = air[begin]
    for n in range(begin, SPAN):
        wanted = cold if n < end else air[n]
        now += (wanted - now) * (1 - exp(-TICK_S / (down if wanted < now else up)))
        air[n] = now
    return air, weather


KINDS: dict[str, Air] = {
    "heated": steady, "night set-back": set_back, "unheated": unheated, "cold snap": snap,
}  # fmt: skip


def a_shop(draw: random.Random, kind: str, since: int) -> Truth:
    """Return a shop of a kind; ``since`` is the tick at which something begins to harden."""
    air, weather = KINDS[kind](draw, since)
    air = [a + w for a, w in zip(air, weather, strict=True)]
    damp = draw.uniform(35, 60)
    humidity = [min(95.0, max(15.0, damp + 8 * h)) for h in _weather(draw, 1.0)]
    return Truth(
        air=air,
        humidity=humidity,
        said=_sensor(draw, air, humidity, since),
        lag_s=draw.uniform(0.5, 2) * HOUR_S,
    )


def around(truth: Truth, *, lagging: bool) -> list[float]:
    """Return the true temperature around what hardens: of the wood about a joint, of the air about a coat."""
    return _follow(truth.air, truth.lag_s, truth.lag_s) if lagging else truth.air


def grown(truth: Truth, cure: Cure, since: int, *, lagging: bool) -> list[float]:
    """Return the true equivalent age [s] at each tick from ``since`` on."""
    temps = around(truth, lagging=lagging)
    speeds = (cure.speed(temps[n], truth.humidity[n]) for n in range(since, SPAN))
    return [0.0, *accumulate(speed * TICK_S for speed in speeds)]


def _follow(wanted: list[float], down_s: float, up_s: float) -> list[float]:
    now, found = wanted[0], []
    for each in wanted:
        now += (each - now) * (1 - exp(-TICK_S / (down_s if each < now else up_s)))
        found.append(now)
    return found


def _weather(draw: random.Random, sd: float) -> list[float]:
    """Return noise about zero whose memory is half a day."""
    keep = exp(-TICK_S / (12 * HOUR_S))
    now, found = draw.gauss(0, sd), []
    for _ in range(SPAN):
        now = now * keep + draw.gauss(0, sd) * (1 - keep**2) ** 0.5
        found.append(now)
    return found


def _sensor(draw: random.Random, air: list[float], humidity: list[float], since: int) -> dict[int, Pair]:
    """Return quarter hours as the sensor reports them: off by up to 0.8 °C and 5 %, to a tenth, with gaps."""
    bias, damp = draw.uniform(-0.8, 0.8), draw.uniform(-5, 5)
    gaps = [_gap(draw, 0, since) for _ in range(draw.randint(0, 4))]
    gaps += [_gap(draw, since, since + 2 * DAY_S // TICK_S) for _ in range(draw.randint(0, 2))]
    heard: dict[int, list[Pair]] = {}
    for n in range(draw.randint(0, 1), SPAN, 2):
        if not any(begin <= n < end for begin, end in gaps):
            temp = round(air[n] + bias + draw.gauss(0, 0.2), 1)
            pair = (temp, min(100.0, max(0.0, round(humidity[n] + damp + draw.gauss(0, 1)))))
            heard.setdefault((FIRST_S + n * TICK_S) // STEP_S, []).append(pair)
    return {
        step: (sum(t for t, _ in rows) / len(rows), sum(h for _, h in rows) / len(rows))
        for step, rows in heard.items()
    }


def _gap(draw: random.Random, begin: int, end: int) -> tuple[int, int]:
    at = draw.randrange(begin, end)
    return at, at + int(draw.uniform(1, 8) * HOUR_S / TICK_S)
