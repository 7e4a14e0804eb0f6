"""Product sheets: the newest version of the shop's own, else the class default; and the shop's own woods."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from calcs.curing.laws import steps_of
from calcs.curing.points import Point, check_points
from calcs.kit.amounts import parse_duration, parse_temperature
from calcs.materials.own_woods import WoodSheet
from calcs.materials.product_sheets import Finish, Glue, finish_classes, finish_from, glue_classes, glue_from
from calcs.materials.sheet_reading import read_sheet as read_fields
from jobs.core.command_cache import read_once
from jobs.core.errors import Invalid, NotFound
from jobs.models import Sheet

POINT_FORM = "rows of step, temp_c and time_s, such as unclamp, 10, 2 h"
KINDS = (Sheet.Kind.GLUE, Sheet.Kind.FINISH)
"""Kinds of products that are bought and run out."""
SHEET_KINDS = (*KINDS, Sheet.Kind.WOOD)


@dataclass(frozen=True, kw_only=True)
class Product:
    """A product's data and its origin: version 0 is the default of its class.

    ``points`` are the maker's own times at several temperatures, where the sheet has them.
    """

    key: str
    version: int
    glue: Glue | None = None
    finish: Finish | None = None
    wood: WoodSheet | None = None
    points: tuple[Point, ...] = ()

    @property
    def entry(self) -> Glue | Finish | WoodSheet:
        """Return the data of any kind of sheet."""
        return self.wood or self.sheet

    @property
    def sheet(self) -> Glue | Finish:
        """Return the data of a glue or a finish."""
        found = self.glue or self.finish
        assert found is not None
        return found


@read_once("sheet_set")
def products() -> dict[str, dict[str, Product]]:
    """Return every product by kind and key: class defaults, then the shop's own by their newest sheets."""
    newest = {(row.kind, row.key): row for row in Sheet.objects.order_by("version")}
    return {
        kind: {key: _product(kind, key, 0, sheet) for key, sheet in _classes(kind).items()}
        | {key: _own(row) for (of, key), row in newest.items() if of == kind}
        for kind in SHEET_KINDS
    }


def newest(kind: str) -> dict[str, Product]:
    """Return every product of a kind by key."""
    return products()[kind]


def product(kind: str, key: str) -> Product:
    """Return one product as it stands now."""
    found = newest(kind).get(key)
    if found is None:
        raise NotFound(f"no such {kind}", field=kind, value=key, allowed=", ".join(sorted(newest(kind))))
    return found


def product_at(kind: str, key: str, version: int) -> Product:
    """Return a product as it stood in one version; 0 is the default of its class."""
    known = newest(kind).get(key)
    if known is not None and known.version == version:
        return known
    if version:
        return _own(Sheet.objects.get(kind=kind, key=key, version=version))
    return _product(kind, key, 0, _classes(kind)[key])


def _classes(kind: str) -> Mapping[str, Any]:
    if kind == Sheet.Kind.WOOD:
        return {}
    return glue_classes() if kind == Sheet.Kind.GLUE else finish_classes()


def read_sheet(kind: str, data: dict[str, Any]) -> Glue | Finish | WoodSheet:
    """Return a sheet from its fields except the points; calcs checks every field."""
    data = {name: value for name, value in data.items() if name != "points"}
    if kind == Sheet.Kind.WOOD:
        return read_fields(WoodSheet, data)
    return glue_from(data) if kind == Sheet.Kind.GLUE else finish_from(data)


def read_points(data: dict[str, Any], sheet: Glue | Finish | WoodSheet) -> tuple[Point, ...]:
    """Return the points of a sheet: rows of step, temperature and time, checked by calcs; a wood has none."""
    rows = data.get("points") or []
    if isinstance(sheet, WoodSheet):
        if rows:
            raise Invalid("a wood has no times", field="points", value=str(rows)[:60], allowed="no points")
        return ()
    if not isinstance(rows, list | tuple) or not all(isinstance(row, dict) for row in rows):
        raise Invalid("not a list of points", field="points", value=str(rows)[:60], allowed=POINT_FORM)
    points = tuple(_point(n, row) for n, row in enumerate(rows, start=1))
    check_points(points, steps=steps_of(sheet), least_c=sheet.min_temp_c, most_c=sheet.max_temp_c)
    return points


def _point(n: int, row: dict[str, Any]) -> Point:
    if set(row) != {"step", "temp_c", "time_s"}:
        raise Invalid("not a point", field=f"points[{n}]", value=str(row)[:60], allowed=POINT_FORM)
    time_s = row["time_s"]
    return Point(
        step=str(row["step"]),
        temp_c=parse_temperature(str(row["temp_c"]), unit="C", field=f"points[{n}].temp_c"),
        time_s=time_s
        if isinstance(time_s, int)
        else parse_duration(str(time_s), field=f"points[{n}].time_s"),
    )


def _own(row: Sheet) -> Product:
    sheet = read_sheet(row.kind, row.data)
    made = _product(row.kind, row.key, row.version, sheet)
    return replace(made, points=read_points(row.data, sheet))


def _product(kind: str, key: str, version: int, sheet: Any) -> Product:
    return Product(key=key, version=version, **{kind: sheet})
