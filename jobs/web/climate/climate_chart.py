"""The air of one place as a chart: curves, the daily profile behind them, the forecast, the waits below."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from calcs.curing.series import STEP_S, Pair
from jobs.domain.overviews.climate import PlaceAir

WIDE, LEFT, RIGHT = 360, 34, 8
HIGH, LOW, TOP, GAP = 110, 70, 16, 26
ROW = 30
BREAK = 4
"""Quarter hours without a measurement after which the curve is interrupted."""
SPANS = {"1": timedelta(days=1), "7": timedelta(days=7), "30": timedelta(days=30)}
AHEAD = {"1": timedelta(hours=24), "7": timedelta(days=2), "30": timedelta(days=2)}
TICKS = {"1": 6, "7": 24, "30": 24 * 7}
"""Hours between the marks of the time axis."""
EVERY = {"1": 1, "7": 2, "30": 8}
"""Quarter hours in one point of a curve."""

Point = tuple[float, float]
USUAL_C = 20.0
"""The middle of the scale where nothing is measured."""


@dataclass(frozen=True, kw_only=True)
class Axis:
    """Time from left to right."""

    begin: datetime
    end: datetime

    def x(self, moment: datetime) -> float:
        """Return the x of a moment; outside the chart it is at the edge."""
        share = (moment - self.begin) / (self.end - self.begin)
        return round(LEFT + max(0.0, min(1.0, share)) * (WIDE - LEFT - RIGHT), 1)

    def step(self, step: float) -> float:
        share = (step * STEP_S - self.begin.timestamp()) / (self.end - self.begin).total_seconds()
        return round(LEFT + share * (WIDE - LEFT - RIGHT), 1)


@dataclass(frozen=True, kw_only=True)
class Scale:
    """A vertical scale between round numbers."""

    least: float
    most: float
    top: float
    high: float
    marks: tuple[float, ...]

    def y(self, value: float) -> float:
        share = (value - self.least) / (self.most - self.least)
        return round(self.top + (1 - max(0.0, min(1.0, share))) * self.high, 1)


def axis_of(span: str, now: datetime) -> Axis:
    return Axis(begin=now - SPANS[span], end=now + AHEAD[span])


def chart(
    air: PlaceAir, waits: Sequence[dict[str, Any]], *, span: str, now: datetime, unit: str
) -> SafeString:
    """Return the chart as SVG that takes its colours from the page."""
    axis = axis_of(span, now)
    air = _within(air, axis)
    temps = _temperatures(air, unit)
    shown = [t for t, _ in temps.values()] or [_in(USUAL_C, unit)]
    scale = _scale(shown, top=TOP, high=HIGH, step=10 if unit == "F" else 5)
    damp = Scale(least=0, most=100, top=TOP + HIGH + GAP, high=LOW, marks=(0, 50, 100))
    foot = damp.top + LOW if air.damp else TOP + HIGH
    high = foot + 22 + ROW * len(waits) + (4 if waits else 0)
    parts = [
        _times(axis, span, foot),
        _figure(air, axis, scale, EVERY[span], f"°{unit}", lambda pair: _in(pair[0], unit), "warm"),
        _figure(air, axis, damp, EVERY[span], "% RH", lambda pair: pair[1], "damp") if air.damp else "",
        _now(axis, now, foot),
        *(_wait(wait, axis, foot + 22 + ROW * n, now) for n, wait in enumerate(waits)),
    ]
    return format_html(
        '<svg class="air" viewBox="0 0 {} {}" role="img" aria-label="{}">{}</svg>',
        WIDE,
        high,
        _("Temperature and humidity, %(place)s: %(summary)s")
        % {"place": air.place, "summary": _summary(temps, unit)},
        format_html_join("", "{}", ((part,) for part in parts)),
    )


def _within(air: PlaceAir, axis: Axis) -> PlaceAir:
    """Return the air within the axis."""
    first, last = (moment.timestamp() / STEP_S for moment in (axis.begin, axis.end))

    def cut(pairs: Mapping[int, Pair]) -> dict[int, Pair]:
        return {step: pair for step, pair in pairs.items() if first <= step < last}

    return replace(air, measured=cut(air.measured), expected=cut(air.expected))


def _in(temp_c: float, unit: str) -> float:
    return temp_c * 1.8 + 32 if unit == "F" else temp_c


def _temperatures(air: PlaceAir, unit: str) -> dict[int, Pair]:
    both = {**air.expected, **air.measured}
    return {step: (_in(temp, unit), humidity) for step, (temp, humidity) in both.items()}


def _summary(temps: Mapping[int, Pair], unit: str) -> str:
    if not temps:
        return _("nothing measured")
    found = [t for t, _ in temps.values()]
    return _("%(coldest)s to %(warmest)s °%(unit)s") % {
        "coldest": f"{min(found):.0f}",
        "warmest": f"{max(found):.0f}",
        "unit": unit,
    }


def _scale(values: Sequence[float], *, top: float, high: float, step: int) -> Scale:
    """Return a scale of round numbers around the values."""
    least, most = min(values), max(values)
    low, up = (least - 1) // step * step, -(-(most + 1) // step) * step
    marks = tuple(low + n * step for n in range(int((up - low) / step) + 1))
    return Scale(least=low, most=up, top=top, high=high, marks=marks[:: 1 + len(marks) // 6])


def _figure(
    air: PlaceAir, axis: Axis, scale: Scale, every: int, name: str, value: Callable[[Pair], float], look: str
) -> SafeString:
    """Return one curve with its scale, the daily profile as a band and the forecast dashed."""
    marks = format_html_join(
        "",
        '<path class="grid" d="M{} {}H{}"/><text class="mark" x="{}" y="{}">{}</text>',
        ((LEFT, scale.y(m), WIDE - RIGHT, LEFT - 4, scale.y(m) + 3.5, f"{m:.0f}") for m in scale.marks),
    )
    points = _points(air.measured, axis, scale, every, value)
    ahead = _points(air.expected, axis, scale, every, value)
    last = points[-1][-1:] if points else []
    return format_html(
        '<g class="{}">{}<text class="name" x="{}" y="{}">{}</text>{}{}{}</g>',
        look,
        marks,
        LEFT,
        scale.top - 5,
        name,
        _habit(air, axis, scale, value) if look == "warm" else "",
        format_html_join("", '<path class="curve" d="{}"/>', ((_path(p),) for p in points)),
        format_html_join("", '<path class="curve ahead" d="{}"/>', ((_path([*last, *p]),) for p in ahead)),
    )


def _points(
    pairs: Mapping[int, Pair], axis: Axis, scale: Scale, every: int, value: Callable[[Pair], float]
) -> list[list[Point]]:
    """Return runs of points without a gap, each the mean of ``every`` quarter hours."""
    runs: list[list[Point]] = []
    groups: dict[int, list[int]] = {}
    for step in sorted(pairs):
        groups.setdefault(step // every, []).append(step)
    before: int | None = None
    for steps in groups.values():
        if before is None or steps[0] - before > BREAK + every:
            runs.append([])
        mean = sum(value(pairs[s]) for s in steps) / len(steps)
        runs[-1].append((axis.step(sum(steps) / len(steps) + 0.5), scale.y(mean)))
        before = steps[-1]
    return runs


def _habit(air: PlaceAir, axis: Axis, scale: Scale, value: Callable[[Pair], float]) -> SafeString | str:
    """Return the daily profile as a band of one standard deviation either way."""
    if air.habit is None:
        return ""
    first, last = (int(m.timestamp() // STEP_S) for m in (axis.begin, axis.end))
    steps = range(first, last + 1, 2)
    spread = max(air.habit.spread_c, 0.3)
    edge = [
        [(axis.step(n), scale.y(value((air.habit.at(n)[0] + off, 50)))) for n in steps]
        for off in (spread, -spread)
    ]
    return format_html('<path class="habit" d="{}Z"/>', _path([*edge[0], *reversed(edge[1])]))


def _path(points: Iterable[Point]) -> str:
    return "M" + "L".join(f"{x} {y}" for x, y in points) if points else ""


def _times(axis: Axis, span: str, foot: float) -> SafeString:
    """Return marks at midnight or every few hours on the shop's clock."""
    local = timezone.localtime(axis.begin).replace(minute=0, second=0, microsecond=0)
    hours, found = TICKS[span], []
    local = local.replace(hour=local.hour // hours * hours if hours < 24 else 0)
    while local <= timezone.localtime(axis.end):
        if local >= timezone.localtime(axis.begin):
            x = axis.x(local)
            midnight = local.hour == 0
            words = f"{local:%a}" if midnight and span != "30" else f"{local:%H:%M}"
            words = f"{local.day} {local:%b}" if span == "30" else words
            found.append((x, TOP, foot, min(max(x, LEFT + 8), WIDE - RIGHT - 10), foot + 12, words))
        local = _later(local, hours)
    return format_html_join(
        "", '<path class="grid" d="M{} {}V{}"/><text class="time" x="{}" y="{}">{}</text>', found
    )


def _later(local: datetime, hours: int) -> datetime:
    """Return the wall-clock time so many hours later, through changes to summer time."""
    return timezone.make_aware(local.replace(tzinfo=None) + timedelta(hours=hours))


def _now(axis: Axis, now: datetime, foot: float) -> SafeString:
    return format_html(
        '<path class="now" d="M{} {}V{}"/><text class="time" x="{}" y="{}">{}</text>',
        axis.x(now), TOP - 4, foot, axis.x(now), TOP - 6, _("now"),
    )  # fmt: skip


def _wait(wait: dict[str, Any], axis: Axis, top: float, now: datetime) -> SafeString:
    """Return a wait as a line: full up to now, soft between earliest and latest."""
    begin, ready = wait["since"], wait["ready_at"]
    soft = wait["earliest_at"] or ready
    end = max(wait["latest_at"] or ready, ready) if ready else axis.end
    x0, x1, x2 = axis.x(begin), axis.x(min(soft or end, end)), axis.x(end)
    gone = max(x0, min(axis.x(now), x1))
    look = "bad" if wait["suspect"] or not ready else "line"
    return format_html(
        '<g class="wait {}"><text class="what" x="{}" y="{}">{}</text>'
        '<rect class="joint" x="{}" y="{}" width="{}" height="6" rx="2"/>'
        '<rect class="has-set" x="{}" y="{}" width="{}" height="6"/>'
        '<rect class="soft-end" x="{}" y="{}" width="{}" height="6"/>{}</g>',
        look, LEFT, top + 9, wait["called"], x0, top + 14, _width(x0, x2), x0, top + 14, _width(x0, gone),
        x1, top + 14, _width(x1, x2),
        format_html('<path class="told" d="M{} {}v10"/>', axis.x(ready), top + 12) if ready else "",
    )  # fmt: skip


def _width(begin: float, end: float) -> float:
    return round(max(1.0, end - begin), 1)
