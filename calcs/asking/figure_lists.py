"""Figures of a result, or inputs, as lines, sentences and tables: what every door shows, and in which order.

`titles_of` reads the `Figure` beside each field. The values are those of a stored result; names that its
class does not know any more are listed last, without their underscores.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from decimal import Decimal
from functools import cache
from typing import Annotated, Any, get_args, get_origin, get_type_hints

from calcs.asking.answers import SAID, spoken
from calcs.asking.figures import Figure
from calcs.asking.quantity_fields import Kind
from calcs.materials.product_sheets import Finish, Glue

Values = Mapping[str, Any]


@dataclass(frozen=True, kw_only=True)
class Titled:
    """A figure of a class by its name; ``inner`` are the figures of its rows, or of a group of figures."""

    name: str
    figure: Figure
    inner: Mapping[str, Titled]


Titles = Mapping[str, Titled]


@dataclass(frozen=True, kw_only=True)
class Line:
    """One figure with its value; ``name`` ends in the unit."""

    name: str
    figure: Figure
    value: Any


@dataclass(frozen=True, kw_only=True)
class Table:
    """Figures that come in rows: the name and figure of each column, and its cells; None for an empty one."""

    figure: Figure
    columns: tuple[tuple[str, Figure], ...]
    rows: tuple[tuple[Any, ...], ...]


@cache
def titles_of(of: Any) -> Titles:
    """Return the figures of a result class, or the inputs of a value class, in the order of the fields.

    An input without a figure is called as it is asked for. A field that holds one other result class, not
    rows, is a group and needs no title: its figures stand in its place.

    Raises
    ------
    TypeError
        Naming a field of a result class without a figure.
    """
    hints = get_type_hints(of, include_extras=True)
    return {f.name: _titled(of, f.name, hints[f.name]) for f in fields(of) if f.name not in SAID}


def _titled(of: Any, name: str, hint: Any) -> Titled:
    figure = next((f for f in _stated(hint) if isinstance(f, Figure)), None)
    asked = next((kind.says for kind in _stated(hint) if isinstance(kind, Kind)), "")
    held: Any = next(_classes(hint), None)
    if figure is None and not asked and not _is_group(hint):
        raise TypeError(f"{of.__name__}.{name} has no Figure: state its title beside the field")
    figure = figure or Figure(asked[:1].upper() + asked[1:])
    inner = titles_of(held) if held else {}
    renamed = {n: replace(inner[n], figure=other) for n, other in figure.within.items()}
    return Titled(name=name, figure=figure, inner={**inner, **renamed})


def _stated(hint: Any) -> Iterator[Any]:
    """Yield what stands beside a type, also inside ``… | None``."""
    if get_origin(hint) is Annotated:
        yield from hint.__metadata__
    for inner in get_args(hint):
        if get_origin(inner) is Annotated:
            yield from inner.__metadata__


def _is_group(hint: Any) -> bool:
    return is_dataclass(hint) or any(
        is_dataclass(one) for one in get_args(hint) if get_origin(hint) is not tuple
    )


def _classes(hint: Any) -> Iterator[type[Any]]:
    """Yield the result classes that a type names: of rows, or of a group."""
    if isinstance(hint, type) and is_dataclass(hint) and hint not in (Glue, Finish):
        yield hint
    for inner in get_args(hint):
        yield from _classes(inner)


@cache
def asked_by(answer: Callable[[Any], Any]) -> Any:
    """Return the value class that a calculation takes."""
    return next(iter(get_type_hints(answer).values()))


@cache
def found_by(answer: Callable[[Any], Any]) -> Any:
    """Return the class of its result."""
    return get_type_hints(answer)["return"]


def names_of_money(titles: Titles) -> Iterator[str]:
    """Yield the names of the figures that are sums of money, those in rows and groups among them."""
    for name, titled in titles.items():
        if titled.figure.money:
            yield name
        yield from names_of_money(titled.inner)


def title_of(titles: Titles, name: str) -> str:
    """Return the title of a figure by its name; of an unknown one its name without underscores."""
    return _known(titles, name).figure.title


def _known(titles: Titles, name: str) -> Titled:
    return titles.get(name) or Titled(name=name, figure=Figure(spoken(name).capitalize()), inner={})


def lines(titles: Titles, values: Values) -> list[Line]:
    """Return the single figures that have something to say, those of a group in its place."""
    return [
        Line(name=titled.name, figure=titled.figure, value=value)
        for titled, value in _single(titles, values)
        if not titled.figure.sentence and not _says_nothing(titled.figure, value) and value is not False
    ]


def sentences(titles: Titles, values: Values) -> list[Line]:
    """Return the figures that are whole sentences."""
    return [
        Line(name=titled.name, figure=titled.figure, value=value)
        for titled, value in _single(titles, values)
        if titled.figure.sentence and not _says_nothing(titled.figure, value)
    ]


def tables(titles: Titles, values: Values) -> list[Table]:
    """Return the figures that come in rows, without the columns that say nothing."""
    return [_table(titled, rows) for titled, rows in _told(titles, values) if _is_rows(rows)]


def _table(titled: Titled, rows: list[Values]) -> Table:
    flat = [{path: (each, value) for path, each, value in _cells(titled.inner, row)} for row in rows]
    found = {path: each.figure for row in flat for path, (each, _) in row.items()}
    columns = {
        path: figure
        for path, figure in found.items()
        if any(row[path][1] not in (None, "", []) for row in flat if path in row)
    }
    return Table(
        figure=titled.figure,
        columns=tuple((path[-1], figure) for path, figure in columns.items()),
        rows=tuple(
            tuple(_cell(figure, row[path][1]) if path in row else None for path, figure in columns.items())
            for row in flat
        ),
    )


def _cell(figure: Figure, value: Any) -> Any:
    return None if _says_nothing(figure, value) else value


def _cells(titles: Titles, row: Values, under: tuple[str, ...] = ()) -> Iterator[tuple[Any, Titled, Any]]:
    """Yield path, figure and value of each cell of a row, those of a group in its place."""
    for titled, value in _told(titles, row):
        if isinstance(value, Mapping):
            yield from _cells(titled.inner, value, (*under, titled.name))
        else:
            yield (*under, titled.name), titled, value


def _single(titles: Titles, values: Values) -> Iterator[tuple[Titled, Any]]:
    for titled, value in _told(titles, values):
        if isinstance(value, Mapping):
            yield from _single(titled.inner, value)
        elif not _is_rows(value):
            yield titled, value


def _told(titles: Titles, values: Values) -> Iterator[tuple[Titled, Any]]:
    """Yield the figures in the order of the class; those that it does not know come last."""
    names = dict.fromkeys((*titles, *values))
    for name in names:
        titled = _known(titles, name)
        if name in values and name not in SAID and not titled.figure.hidden:
            yield titled, values[name]


def _is_rows(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], Mapping)


def _says_nothing(figure: Figure, value: Any) -> bool:
    return value is None or value in ("", []) or (figure.quiet and not Decimal(value))
