"""Answers as every door gives them: inputs and figures as plain values and in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass
from decimal import Decimal
from typing import Any

from calcs.asking.figure_wording import UNITS_BY_END, WORDS_BY_END, format_figure, format_source
from calcs.asking.inputs import kinds_of, outward
from calcs.materials.product_sheets import Finish, Glue

SAID = ("warnings", "notes", "cautions", "source")


@dataclass(frozen=True, kw_only=True)
class Answer:
    """Question, inputs and result of one calculation.

    ``inputs`` and ``result`` hold by name a ``value`` of JSON's own types and its ``words`` in both systems
    of units. Lengths are in 1/8 µm, times in seconds, decimals are text. A list has words for each entry.
    Inputs have the names they are typed by; figures have names that end in their unit.
    """

    name: str
    question: str
    inputs: Mapping[str, Any]
    result: Mapping[str, Any]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    source: tuple[str, ...]
    drawing: str | None


def answered(*, name: str, question: str, asked: Any, found: Any, drawing: str | None) -> Answer:
    """Return the answer from the value asked and the value found."""
    figures = {f.name: getattr(found, f.name) for f in fields(found)}
    said = {each: tuple(figures.pop(each, ())) for each in SAID}
    said["source"] = tuple(format_source(source) for source in said["source"])
    result = {each: _both(each, value) for each, value in figures.items()}
    for kilograms, pounds in _weighed_in_pounds(figures):
        result[kilograms]["words"] = f"{format_figure(pounds, figures[pounds])} ({figures[kilograms]} kg)"
    return Answer(
        name=name,
        question=question,
        inputs={outward(each): _both(each, getattr(asked, each)) for each in kinds_of(type(asked))},
        result=result,
        drawing=drawing,
        **said,
    )


def _weighed_in_pounds(figures: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return the weights in kilograms that have one in pounds beside them, so that none is rounded twice."""
    pairs = [(name, f"{name.removesuffix('_kg')}_lb") for name in figures if name.endswith("_kg")]
    return [(name, pounds) for name, pounds in pairs if figures.get(pounds) is not None]


def _both(name: str, value: Any) -> dict[str, Any]:
    """Return a value as JSON's own types and in words."""
    words = [_words(name, one) for one in value] if isinstance(value, tuple) else _words(name, value)
    return {"value": plain(value), "words": words}


def _words(name: str, value: Any) -> str:
    """Return a figure in words; a dataclass as its figures with their names."""
    if is_dataclass(value) and not isinstance(value, type | Glue | Finish):
        inner = {f.name: getattr(value, f.name) for f in fields(value) if f.name not in SAID}
        return ", ".join(f"{spoken(n)} {_words(n, v)}" for n, v in inner.items() if v is not None)
    if isinstance(value, tuple):
        return "; ".join(_words(name, one) for one in value) or "none"
    return format_figure(name, value)


def spoken(name: str) -> str:
    """Return the name of a figure as it is read out, without its unit.

    Examples
    --------
    >>> spoken("buy_bf"), spoken("density_kg_m3"), spoken("at_once")
    ('buy', 'density', 'at once')
    """
    end = next((end for end in (*WORDS_BY_END, *UNITS_BY_END) if name.endswith(end)), "")
    return name.removesuffix(end).replace("_", " ")


def plain(value: Any) -> Any:
    """Return the value in JSON's own types; decimals and floats become text, products their key.

    Examples
    --------
    >>> plain((Decimal("1.50"), 3, None))
    ['1.50', 3, None]
    """
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, Glue | Finish):
        return value.key
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, float):
        return format(Decimal(repr(value)), "f")
    if isinstance(value, Mapping):
        return {str(name): plain(inner) for name, inner in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value)}
    return [plain(one) for one in value]
