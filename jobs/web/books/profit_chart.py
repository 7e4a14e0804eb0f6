"""Months of a year as columns: costs, and on them the profit; a loss hangs below the line."""

from collections.abc import Sequence
from decimal import ROUND_CEILING, Decimal
from typing import Any

from django.utils.dates import MONTHS_3
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

WIDE, LEFT, TOP, HIGH, FOOT = 360, 44, 10, 130, 18
COLUMN, GAP = 18, 4
STEPS = (1, 2, 5)
"""Round steps of the scale, times a power of ten."""
MARKS = 4
Months = Sequence[dict[str, Any]]


def profit_chart(months: Months, *, currency: str, year: int) -> SafeString:
    """Return the chart as SVG that takes its colors from the page; the table beside it has its figures."""
    above = max((max(m["income"], m["costs"]) for m in months), default=Decimal(0))
    below = max((m["costs"] - m["income"] for m in months if m["profit"] < 0), default=Decimal(0))
    step = _step(above + below)
    top, foot = max(_rounded(above, step), step), _rounded(below, step)
    scale = HIGH / float(top + foot)
    zero = TOP + float(top) * scale
    marks = range(-int(foot // step), int(top // step) + 1)
    told = _("Profit of %(year)s by month in %(currency)s: %(profit)s of %(income)s") % {
        "year": year, "currency": currency, "profit": sum(m["profit"] for m in months),
        "income": sum(m["income"] for m in months),
    }  # fmt: skip
    return format_html(
        '<svg class="profit" viewBox="0 0 {} {}" role="img" aria-label="{}">{}{}</svg>',
        WIDE,
        TOP + HIGH + FOOT,
        told,
        format_html_join(
            "", "{}", ((_mark(n * step, zero - n * float(step) * scale),) for n in marks)
        ),
        format_html_join("", "{}", ((_column(m, zero, scale),) for m in months)),
    )  # fmt: skip


def _step(span: Decimal) -> Decimal:
    """Return the smallest round step that parts a span by at most so many marks."""
    size = Decimal(1)
    while True:
        for factor in STEPS:
            if size * factor * MARKS >= span:
                return size * factor
        size *= 10


def _rounded(amount: Decimal, step: Decimal) -> Decimal:
    """Return an amount rounded up to a whole step; nothing where it is nothing or less."""
    return (amount / step).to_integral_value(ROUND_CEILING) * step if amount > 0 else Decimal(0)


def _mark(amount: Decimal, y: float) -> SafeString:
    kind = "zero" if amount == 0 else "rule"
    return format_html(
        '<path class="{}" d="M{} {}H{}"/><text x="{}" y="{}" text-anchor="end">{}</text>',
        kind, LEFT, round(y, 1), WIDE, LEFT - 5, round(y + 3.5, 1), _short(amount),
    )  # fmt: skip


def _short(amount: Decimal) -> str:
    """Return an amount with k for thousands."""
    sign, size = "−" if amount < 0 else "", abs(amount)
    return f"{sign}{(size / 1000).normalize():f}k" if size >= 1000 else f"{sign}{size:f}"


def _column(month: dict[str, Any], zero: float, scale: float) -> SafeString:
    x = LEFT + 6 + (month["month"] - 1) * (COLUMN + GAP + 4)
    income, costs = max(month["income"], Decimal(0)), max(month["costs"], Decimal(0))
    paid, gain, loss = (float(n) * scale for n in (min(costs, income), income - costs, costs - income))
    parts = [_bar("cost", x, zero - paid, paid), _bar("gain", x, zero - paid - gain, gain)]
    parts.append(_bar("loss", x, zero, loss))
    name = format_html(
        '<text x="{}" y="{}" text-anchor="middle">{}</text>',
        x + COLUMN / 2, TOP + HIGH + FOOT - 4, str(MONTHS_3[month["month"]])[:1].upper(),
    )  # fmt: skip
    return format_html_join("", "{}", ((part,) for part in (*parts, name)))


def _bar(kind: str, x: float, y: float, high: float) -> SafeString | str:
    if high <= 0:
        return ""
    return format_html(
        '<rect class="{}" x="{}" y="{}" width="{}" height="{}"/>',
        kind, x, round(y, 1), COLUMN, round(high, 1),
    )  # fmt: skip
