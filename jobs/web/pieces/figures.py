"""Results of calculations as rows and tables of a screen, in the reader's units."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django.utils.safestring import mark_safe

from calcs.asking.answers import Answer
from calcs.drawing import draw, signs
from jobs.core.units import Units
from jobs.domain.pieces.drawing import marked_of
from jobs.web.kit.formatting import money_words
from jobs.web.pieces.figure_formatting import label, source_words, value_words
from jobs.web.pieces.figure_labels import LABELS, TITLES
from jobs.web.pieces.figure_tables import TABLES
from jobs.web.pieces.summaries import headline

Result = dict[str, Any]
MONEY = ("cost", "price_per_bf")
TOLD_APART = ("warnings", "cautions")
"""Figures listed by themselves instead of in the table."""
TOLD_ALREADY = ("glue_g", "glue_fl_oz", "useful", "works", "boards_len")
"""Figures that also appear in another unit or place."""
NEAR_ENOUGH = (("clamping", "at_len"), ("clamping", "cauls_at_len"), ("clamping", "spacing_len"))
"""Positions that nobody measures to a 64th."""
QUIET_AT_ZERO = (
    "short_len",
    "missing",
    "lost_len",
    *(f"{of}_{unit}" for of in ("steel", "fittings") for unit in ("kg", "lb")),
)
PLACES = {name: n for n, name in enumerate(LABELS)}
SENTENCES = ("planing", "witness", "reason", "to_do")
"""Figures that are whole sentences."""


def calculations(piece: dict[str, Any], *, units: Units, currency: str = "") -> list[dict[str, Any]]:
    """Return every calculation of a piece's route: its figures, or why there are none."""
    computed = piece["computed"]
    asked = [c for s in piece["stages"] for c in s["calcs"]]
    names = dict.fromkeys([*computed, *asked])
    order = [n for n in TITLES if n in names] + [n for n in names if n not in TITLES]
    return [_shown(name, computed.get(name), units, currency) for name in order]


def heed(computed: Result, name: str) -> list[str]:
    """Return the warnings of one calculation of a piece; none where it was not made."""
    return list(computed.get(name, {}).get("result", {}).get("warnings", []))


def _shown(name: str, kept: dict[str, Any] | None, units: Units, currency: str) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "key": name,
        "title": TITLES.get(name, name.capitalize()),
        "missing": kept is None,
    }
    if kept is None:
        return shown
    if "refused" in kept:
        return {**shown, "refused": kept["refused"].replace(kept["field"], label(kept["field"], name), 1)}
    result = kept["result"]
    return {
        **shown,
        "headline": headline(name, result, units),
        "warnings": result.get("warnings", []),
        "cautions": result.get("cautions", []),
        "rows": _rows(name, result, units, currency),
        "tables": _tables(name, result, units),
        "notes": [*_sentences(result), *kept["notes"]],
        "inputs": _rows(name, kept["inputs"], units, currency, asked=True),
        "input_tables": _tables(name, kept["inputs"], units),
        "sources": list(dict.fromkeys(source_words(s) for s in kept["source"])),
    }


def answer_shown(answer: Answer, *, units: Units, currency: str = "") -> dict[str, Any]:
    """Return an answer of the calculator as the figures of a screen."""
    result = {name: _without_sources(figure["value"]) for name, figure in answer.result.items()}
    listed = {n: v for n, v in result.items() if _is_rows(v) and (answer.name, n) not in TABLES}
    single = {n: v for n, v in result.items() if n not in listed}
    return {
        "warnings": answer.warnings,
        "cautions": answer.cautions,
        "rows": _rows(answer.name, single, units, currency),
        "tables": [
            *_tables(answer.name, result, units),
            *(_plain_table(answer.name, name, rows, units) for name, rows in listed.items()),
        ],
        "notes": [*_sentences(single), *answer.notes],
        "sources": list(dict.fromkeys(source_words(s) for s in answer.source)),
    }


def _without_sources(value: Any) -> Any:
    return {n: v for n, v in value.items() if n != "source"} if isinstance(value, dict) else value


def _is_rows(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], dict)


def _plain_table(calculation: str, name: str, rows: list[Result], units: Units) -> dict[str, Any]:
    """Return a table of rows without a fixed layout: a column for every figure that any of them has."""
    flat = [dict(_flat(calculation, row)) for row in rows]
    columns = [c for c in dict.fromkeys(c for row in flat for c in row) if any(row.get(c) for row in flat)]
    return {
        "title": label(name, calculation),
        "columns": [label(c, calculation) for c in columns],
        "rows": [[_named_cell(c, row.get(c), units) for c in columns] for row in flat],
    }


def _rows(
    calculation: str, values: Result, units: Units, currency: str, *, asked: bool = False
) -> list[dict[str, str]]:
    """Return label and value of each single figure, those of a group among them."""
    flat = {name: value for name, value in _flat(calculation, values) if _worth_telling(name, value, units)}
    return [
        {
            "label": label(name, calculation, asked=asked),
            "value": money_words(value, currency)
            if name in MONEY
            else value_words(name, value, units, about=(calculation, name) in NEAR_ENOUGH and not asked),
        }
        for name, value in sorted(flat.items(), key=lambda figure: PLACES.get(figure[0], len(PLACES)))
    ]


def _flat(calculation: str, values: Result) -> Iterator[tuple[str, Any]]:
    for name, value in values.items():
        if (calculation, name) in TABLES and isinstance(value, list):
            continue
        if isinstance(value, dict):
            yield from _flat(calculation, value)
        else:
            yield name, value


def _worth_telling(name: str, value: Any, units: Units) -> bool:
    if name in SENTENCES or name in TOLD_ALREADY or (name in TOLD_APART and isinstance(value, list)):
        return False
    if value is None or value is False or value in ("", []):
        return False
    if name in QUIET_AT_ZERO and not Decimal(value):
        return False
    return not name.endswith("_lb" if units.length == "mm" else "_kg")


def _tables(calculation: str, result: Result, units: Units) -> list[dict[str, Any]]:
    """Return the results in several rows by their fixed layout, without columns that have no value."""
    found = []
    for (of, name), (title, columns) in TABLES.items():
        rows = result.get(name)
        if of != calculation or not isinstance(rows, list) or not rows:
            continue
        filled = {
            path: words for path, words in columns.items() if any(_at(row, path) is not None for row in rows)
        }
        found.append(
            {
                "title": title,
                "columns": [str(words) for words in filled.values()],
                "rows": [
                    [_cell(path, _at(row, path), units, of=calculation) for path in filled] for row in rows
                ],
            }
        )
    return found


def _named_cell(name: str, value: Any, units: Units) -> str:
    """Return a cell; a value that is another figure's name becomes that figure's label."""
    return LABELS.get(f"{value}_s") or _cell(name, value, units)


def _at(row: Result, path: str) -> Any:
    value: Any = row
    for name in path.split("."):
        value = value.get(name) if isinstance(value, dict) else None
    return value


def _cell(path: str, value: Any, units: Units, *, of: str = "") -> str:
    if value is None or (path == "latest_s" and not value):
        return ""
    return value_words(path, value, units, about=(of, path) in NEAR_ENOUGH)


def _sentences(result: Result) -> Iterator[str]:
    for name in SENTENCES:
        if told := result.get(name):
            yield from ([f"{label(name)}: {told}"] if isinstance(told, str) else told)


def drawn_on_page(piece: dict[str, Any]) -> dict[str, Any] | None:
    """Return the drawing of a piece and its key for a page, in type that a phone can show.

    The drawing escapes every text in it.
    """
    marked = marked_of(piece["computed"], piece["inputs"])
    if marked is None:
        return None
    return {
        "svg": mark_safe(draw(marked, title=piece["number"], with_key=False)),
        "key": [{"svg": mark_safe(sign.svg), "words": sign.words} for sign in signs(marked)],
    }


def changes(piece: dict[str, Any], units: Units) -> list[dict[str, str]]:
    """Return what the last change of the piece did to its figures."""
    return [
        {
            "calculation": TITLES.get(c["calculation"], c["calculation"]),
            "figure": label(c["figure"], c["calculation"]),
            "before": value_words(c["figure"], c["before"], units),
            "after": value_words(c["figure"], c["after"], units),
        }
        for c in piece["changed"]
    ]
