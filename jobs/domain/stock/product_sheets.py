"""Product sheets: the shop's own by their newest version, else the class default."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from calcs.curing.points import Point, check_points
from calcs.curing.rates import steps_of
from calcs.kit.amounts import parse_duration, parse_temperature
from calcs.materials.product_sheets import Finish, Glue, finish_classes, finish_from, glue_classes, glue_from
from jobs.core.errors import Invalid, NotFound
from jobs.models import Sheet

POINT_FORM = "rows of step, temp_c and time_s, such as unclamp, 10, 2 h"
KINDS = (Sheet.Kind.GLUE, Sheet.Kind.FINISH)


@dataclass(frozen=True, kw_only=True)
class Product:
    """A product's data and where it comes from: version 0 is the default of its class.

    ``points`` are the maker's own times at several temperatures, where the sheet has them.
    """

    key: str
    version: int
    glue: Glue | None = None
    finish: Finish | None = None
    points: tuple[Point, ...] = ()

    @property
    def sheet(self) -> Glue | Finish:
        found = self.glue or self.finish
        assert found is not None
        return found


def newest(kind: str) -> dict[str, Product]:
    """Every product of a kind by key: class defaults, then the shop's own sheets."""
    return _newest(kind, Sheet.objects.filter(kind=kind).order_by("version"))


def _newest(kind: str, own: Iterable[Sheet]) -> dict[str, Product]:
    products = {key: _product(kind, key, 0, sheet) for key, sheet in _classes(kind).items()}
    for row in own:
        products[row.key] = _own(row)
    return products


def newest_of_all() -> dict[str, dict[str, Product]]:
    """Every product by kind and key, in one query."""
    own = list(Sheet.objects.filter(kind__in=KINDS).order_by("version"))
    return {kind: _newest(kind, [row for row in own if row.kind == kind]) for kind in KINDS}


def product(kind: str, key: str) -> Product:
    """One product as it stands now."""
    row = Sheet.objects.filter(kind=kind, key=key).order_by("-version").first()
    if row is not None:
        return _own(row)
    if key not in _classes(kind):
        raise NotFound(f"no such {kind}", field=kind, value=key, allowed=", ".join(sorted(newest(kind))))
    return product_at(kind, key, 0)


def product_at(kind: str, key: str, version: int) -> Product:
    """A product as it stood in one version; 0 is the default of its class."""
    if version:
        return _own(Sheet.objects.get(kind=kind, key=key, version=version))
    return _product(kind, key, 0, _classes(kind)[key])


def _classes(kind: str) -> Mapping[str, Any]:
    return glue_classes() if kind == Sheet.Kind.GLUE else finish_classes()


def read_sheet(kind: str, data: dict[str, Any]) -> Glue | Finish:
    """A sheet from its fields but for its points; every field is checked by calcs."""
    data = {name: value for name, value in data.items() if name != "points"}
    return glue_from(data) if kind == Sheet.Kind.GLUE else finish_from(data)


def read_points(data: dict[str, Any], sheet: Glue | Finish) -> tuple[Point, ...]:
    """The points of a sheet: rows of step, temperature and time, checked by calcs."""
    rows = data.get("points") or []
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
