"""A section of a job sheet for a calculation without a layout: its figures by their titles, in both units."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from calcs.asking.figure_lists import Line, Titles, lines, sentences, tables
from calcs.asking.figure_wording import UNITS_BY_END, format_figure
from calcs.asking.figures import Figure
from calcs.kit.units import format_about, format_length
from jobs.documents.job_sheet_cells import (
    Figures,
    about_cell,
    both_units_of,
    cell,
    length_cell,
    sentence,
    table,
)


def titled(titles: Titles, figures: Figures) -> dict[str, Any]:
    """Return lines and tables of stored figures."""
    return {
        "lines": [
            *_lines(lines(titles, figures), figures),
            *((line.figure.title, _sentence(line.value)) for line in sentences(titles, figures)),
        ],
        "tables": [
            table(
                [figure.title for _, figure in each.columns],
                [
                    [
                        _cell(name, figure, value)
                        for (name, figure), value in zip(each.columns, row, strict=True)
                    ]
                    for row in each.rows
                ],
                caption=f"{each.figure.title}:",
            )
            for each in tables(titles, figures)
        ],
    }


def _lines(found: list[Line], figures: Figures) -> Iterator[tuple[str, str]]:
    for line in found:
        pounds = figures.get(f"{line.name.removesuffix('_kg')}_lb")
        if line.name.endswith("_kg") and pounds is not None:  # both are kept, so that none is rounded twice
            yield line.figure.title, f"{pounds} lb ({line.value} kg)"
        elif not (line.name.endswith("_lb") and f"{line.name.removesuffix('_lb')}_kg" in figures):
            yield line.figure.title, _words(line.name, line.figure, line.value)


def _sentence(told: str | list[str]) -> str:
    return sentence(told if isinstance(told, str) else "; ".join(told))


def _words(name: str, figure: Figure, value: Any) -> str:
    if isinstance(value, list):
        return "; ".join(_words(name, figure, one) for one in value)
    if name.endswith("_len"):
        return both_units_of(value, format_about if figure.near else format_length)
    return format_figure(name, Decimal(value) if name.endswith("_c") else value)


def _cell(name: str, figure: Figure, value: Any) -> dict[str, str]:
    if value is None:
        return cell("")
    if name.endswith("_len") and isinstance(value, int):
        return about_cell(value) if figure.near else length_cell(value)
    words = _words(name, figure, value)
    if isinstance(value, list) or not name.endswith(("_c", *UNITS_BY_END)):
        return cell(words)
    first, _, second = words.partition(" (")
    return {"text": first, "under": second.removesuffix(")")}
