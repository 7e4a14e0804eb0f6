"""Cells and tables of a job sheet."""

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from calcs.asking.figure_wording import format_figure, format_time
from calcs.kit.units import format_about, format_length
from jobs.documents.kit.wording import clean, inches, millimetres, without_marks

Figures = Mapping[str, Any]
Rows = list[list[dict[str, str]]]

NBSP = "\u00a0"
WRITE = {"text": "", "under": "", "write": "1"}


def sentence(text: str) -> str:
    text = clean(text)
    return f"{text[:1].upper()}{text[1:]}".rstrip(".") + "." if text else ""


def sentences(lines: list[str]) -> list[str]:
    return [sentence(without_marks(line)) for line in lines]


def both_units_of(units: int | None, write: Callable[[int, str], str] = format_length) -> str:
    return f"{write(units, 'in')} ({write(units, 'mm')})".replace(" ", NBSP) if units is not None else "-"


def length_cell(units: int) -> dict[str, str]:
    return {"text": inches(units), "under": millimetres(units)}


def about_cell(units: int) -> dict[str, str]:
    return {"text": format_about(units, "in"), "under": format_about(units, "mm")}


def worded(end: str, value: Any) -> str:
    """Return an amount in both systems, kept on one line."""
    return format_figure(end, Decimal(value)).replace(" ", NBSP)


def amount_cell(end: str, value: Any) -> dict[str, str]:
    first, _, second = format_figure(end, Decimal(value)).partition(" (")
    return {"text": first, "under": second.removesuffix(")")}


def time_of(figures: Figures, name: str) -> str:
    """Return a time with the precision of a bench clock."""
    seconds = figures.get(name)
    if seconds is None:
        return ""
    return format_time(name, seconds) if seconds else "at once"


def from_to(figures: Figures, start: str, end: str = "") -> str:
    until = time_of(figures, end)
    return f"{time_of(figures, start)} to {until}" if until else f"{time_of(figures, start)} or later"


def counted(count: int, noun: str) -> str:
    """Return a count with its noun: "1 can", "2 cans"."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def cell(text: Any) -> dict[str, str]:
    return {"text": clean(str(text)), "under": ""}


def table(head: list[str], rows: Rows, *, caption: str = "") -> dict[str, Any]:
    return {"head": head, "rows": rows, "caption": caption}
