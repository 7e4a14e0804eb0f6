"""Results of calculations as rows and tables of a screen, in the reader's units."""

from collections.abc import Collection, Iterator
from typing import Any

from django.utils.safestring import mark_safe

from calcs import catalogue
from calcs.asking.answers import Answer
from calcs.asking.figure_lists import Titles, lines, sentences, tables, titles_of
from calcs.drawing.lines import PHONE_WIDE, Paper
from calcs.drawing.sheets import TITLES, VIEWS
from jobs.core.units import Units
from jobs.domain.pieces.calculations import CALCULATIONS, figures_of, inputs_of, title_of
from jobs.domain.pieces.drawing import draw_sheet, views_of
from jobs.web.kit.formatting import money_words
from jobs.web.kit.stored_translations import translate_stored
from jobs.web.pieces.figure_formatting import in_reader_units, label, source_words, value_words
from jobs.web.pieces.summaries import headline

Result = dict[str, Any]


def calculations(piece: dict[str, Any], *, units: Units, currency: str = "") -> list[dict[str, Any]]:
    """Return every calculation of a piece's route: its figures, or why there are none."""
    computed = piece["computed"]
    asked = [c for s in piece["stages"] for c in s["calcs"]]
    optional = {name for name, one in CALCULATIONS.items() if one.optional}
    names = dict.fromkeys([*computed, *(name for name in asked if name not in optional)])
    order = [n for n in CALCULATIONS if n in names] + [n for n in names if n not in CALCULATIONS]
    return [_shown(name, computed.get(name), units, currency) for name in order]


def _shown(name: str, kept: dict[str, Any] | None, units: Units, currency: str) -> dict[str, Any]:
    shown: dict[str, Any] = {"key": name, "title": translate_stored(title_of(name)), "missing": kept is None}
    if kept is None:
        return shown
    figures, inputs = figures_of(name), inputs_of(name)
    if "refused" in kept:
        field = label({**figures, **inputs}, kept["field"])
        return {**shown, "refused": kept["refused"].replace(kept["field"], field, 1)}
    result = kept["result"]
    return {
        **shown,
        "headline": headline(name, result, units),
        "warnings": result.get("warnings", []),
        "cautions": result.get("cautions", []),
        "rows": _rows(figures, result, units, currency),
        "tables": _tables(figures, result, units),
        "notes": [*_sentences(figures, result), *kept["notes"]],
        "inputs": _rows(inputs, kept["inputs"], units, currency),
        "input_tables": _tables(inputs, kept["inputs"], units),
        "sources": list(dict.fromkeys(source_words(s, figures) for s in kept["source"])),
    }


def answer_shown(answer: Answer, *, units: Units, currency: str = "") -> dict[str, Any]:
    """Return an answer of the calculator as the figures of a screen."""
    figures = titles_of(catalogue.CALCULATIONS[answer.name].found)
    result = {name: figure["value"] for name, figure in answer.result.items()}
    return {
        "warnings": answer.warnings,
        "cautions": answer.cautions,
        "rows": _rows(figures, result, units, currency),
        "tables": _tables(figures, result, units),
        "notes": [*_sentences(figures, result), *answer.notes],
        "sources": list(dict.fromkeys(source_words(s, figures) for s in answer.source)),
    }


def _rows(titles: Titles, values: Result, units: Units, currency: str) -> list[dict[str, str]]:
    """Return title and value of each single figure."""
    return [
        {
            "label": translate_stored(line.figure.title),
            "value": money_words(line.value, currency)
            if line.figure.money
            else value_words(line.name, line.value, units, about=line.figure.near),
        }
        for line in lines(titles, values)
        if in_reader_units(line.name, units, values)
    ]


def _tables(titles: Titles, values: Result, units: Units) -> list[dict[str, Any]]:
    """Return the figures that come in rows."""
    return [
        {
            "title": translate_stored(table.figure.title),
            "columns": [translate_stored(figure.title) for _, figure in table.columns],
            "rows": [
                [
                    "" if value is None else value_words(name, value, units, about=figure.near)
                    for (name, figure), value in zip(table.columns, row, strict=True)
                ]
                for row in table.rows
            ],
        }
        for table in tables(titles, values)
    ]


def _sentences(titles: Titles, values: Result) -> Iterator[str]:
    for line in sentences(titles, values):
        told = line.value
        yield from [f"{translate_stored(line.figure.title)}: {told}"] if isinstance(told, str) else told


def drawn_on_page(
    piece: dict[str, Any], units: Units, views: Collection[str] = VIEWS
) -> list[dict[str, Any]]:
    """Return the drawings of a piece for a phone, of the views that are asked for and apply."""
    if not views:
        return []
    paper = Paper(width=PHONE_WIDE, unit=units.length, compact=True)
    kept = piece["computed"], piece["inputs"]
    return [
        {
            "view": view,
            "title": translate_stored(TITLES[view]),
            "svg": mark_safe(draw_sheet(*kept, view, paper=paper, title=piece["number"]) or ""),
        }
        for view in views_of(*kept)
        if view in views
    ]


def changes(piece: dict[str, Any], units: Units) -> list[dict[str, str]]:
    """Return what the last change of the piece did to its figures."""
    return [
        {
            "calculation": translate_stored(title_of(c["calculation"])),
            "figure": label(figures_of(c["calculation"]), c["figure"]),
            "before": value_words(c["figure"], c["before"], units),
            "after": value_words(c["figure"], c["after"], units),
        }
        for c in piece["changed"]
    ]
