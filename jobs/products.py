"""Product sheets: the shop's own by their newest version, else the class default."""

from dataclasses import dataclass
from typing import Any

from calcs.sheets import Finish, Glue, finish_classes, finish_from, glue_classes, glue_from
from jobs.errors import NotFound
from jobs.models import Sheet

KINDS = (Sheet.Kind.GLUE, Sheet.Kind.FINISH)


@dataclass(frozen=True, kw_only=True)
class Product:
    """A product's data and where it comes from: version 0 is the default of its class."""

    key: str
    version: int
    glue: Glue | None = None
    finish: Finish | None = None

    @property
    def sheet(self) -> Glue | Finish:
        found = self.glue or self.finish
        assert found is not None
        return found


def newest(kind: str) -> dict[str, Product]:
    """Every product of a kind by key: class defaults, then the shop's own sheets."""
    classes: dict[str, Any] = dict(glue_classes() if kind == Sheet.Kind.GLUE else finish_classes())
    products = {key: _product(kind, key, 0, sheet) for key, sheet in classes.items()}
    for row in Sheet.objects.filter(kind=kind).order_by("version"):
        products[row.key] = _product(kind, row.key, row.version, read_sheet(kind, row.data))
    return products


def product(kind: str, key: str) -> Product:
    """One product as it stands now."""
    row = Sheet.objects.filter(kind=kind, key=key).order_by("-version").first()
    if row is not None:
        return _product(kind, key, row.version, read_sheet(kind, row.data))
    classes: dict[str, Any] = dict(glue_classes() if kind == Sheet.Kind.GLUE else finish_classes())
    if key not in classes:
        raise NotFound(f"no such {kind}", field=kind, value=key, allowed=", ".join(sorted(newest(kind))))
    return _product(kind, key, 0, classes[key])


def read_sheet(kind: str, data: dict[str, Any]) -> Glue | Finish:
    """A sheet from its fields; every field is checked by calcs."""
    return glue_from(data) if kind == Sheet.Kind.GLUE else finish_from(data)


def _product(kind: str, key: str, version: int, sheet: Any) -> Product:
    return Product(key=key, version=version, **{kind: sheet})
