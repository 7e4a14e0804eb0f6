"""The form of a calculation, made from the metadata of its inputs."""

from collections import Counter
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.translation import gettext as _

from calcs.asking.field_types import (
    Duration,
    Habit,
    Kind,
    Length,
    Many,
    Number,
    Product,
    Temperature,
    Wood,
    Yes,
)
from calcs.asking.inputs import Rows, describe, kinds_of, outward, read
from calcs.catalogue import Calculation
from calcs.kit.errors import CalcError
from calcs.kit.units import format_duration, format_length, format_temperature
from calcs.materials.own_woods import FORM
from calcs.materials.product_sheets import Glue
from jobs.domain.stock.product_sheets import Product as OnShelf
from jobs.domain.stock.product_sheets import newest
from jobs.domain.stock.woods import with_figures, wood_names
from jobs.models import Person, Sheet
from jobs.web.kit.forms import PageForm, choice_field, text_field
from jobs.web.kit.stored_translations import capital, translate_stored

CALLED_OTHERWISE = {"movement": {"rh_low": "rh_low_pct", "rh_high": "rh_high_pct"}}
"""Inputs with another name in a piece's result record than in the calculator."""


class CalculatorForm(PageForm):
    """Every input of a calculation; the calculation itself parses what was typed."""

    def __init__(self, data: Any = None, *, calculation: Calculation, person: Person, **more: Any) -> None:
        super().__init__(data, **more)
        self.calculation, self.person = calculation, person
        self.kinds = {outward(name): kind for name, (kind, _) in kinds_of(calculation.asked).items()}
        self.inputs = describe(calculation.asked)
        said = Counter(one["says"] for one in self.inputs)
        for one in self.inputs:
            self.fields[one["name"]] = self._field(one, twice=said[one["says"]] > 1)

    def _field(self, one: dict[str, Any], *, twice: bool) -> forms.Field:
        kind, name = self.kinds[one["name"]], one["name"]
        label = one["says"][:1].upper() + one["says"][1:]
        if twice:
            label += f", {name.removesuffix('_pct').rsplit('_', 1)[-1]}"
        if in_lines(kind):
            return text_field(label, lines=4, help_text=_row_hint(one, kind), autocomplete="off")
        if isinstance(kind, Wood):
            own = _("a name, or a wood outside the table with its figures: %(form)s") % {"form": FORM}
            hint = own if one["needed"] else f"{own}; {_empty(one)}"
            return text_field(label, help_text=hint, list="species-names", autocomplete="off")
        if one["choices"] and not isinstance(kind, Many):
            return choice_field(label, self._choices(one, kind))
        return text_field(
            label,
            help_text=_hint(one, kind),
            suffix=unit_of(one["unit"], kind, self.person),
            autocomplete="off",
        )

    def _choices(self, one: dict[str, Any], kind: Kind) -> list[tuple[str, str]]:
        if isinstance(kind, Product):
            listed = [(p.key, p.sheet.name) for p in self._shelf(kind).values()]
        else:
            listed = [(word, capital(translate_stored(word))) for word in one["choices"]]
        default = one["default"]
        known = default and default != "none"
        usual = _("Usual: %(usual)s") % {"usual": default} if known else _("Not given")
        return listed if one["needed"] else [("", usual), *listed]

    def _shelf(self, kind: Product) -> Mapping[str, OnShelf]:
        return newest(Sheet.Kind.GLUE if kind.sheet is Glue else Sheet.Kind.FINISH)

    def refuse(self, refused: Any) -> None:
        if isinstance(refused, CalcError):  # the field of a list shows the error of any of its rows
            refused.field = refused.field.partition("[")[0]
        super().refuse(refused)

    def given(self) -> dict[str, Any]:
        """Return what was typed, as the calculation parses it; a product becomes the shop's own sheet."""
        typed = {name: value.strip() for name, value in self.asked().items() if value.strip()}
        for name, value in typed.copy().items():
            kind = self.kinds[name]
            if in_lines(kind):
                typed[name] = ";".join(value.splitlines())
            elif isinstance(kind, Product) and value in self._shelf(kind):
                product = self._shelf(kind)[value]
                typed[name] = product.sheet
                if product.points and "points" in self.kinds and "points" not in typed:
                    typed["points"] = [
                        {"step": p.step, "temp": f"{p.temp_c} C", "time": f"{p.time_s} s"}
                        for p in product.points
                    ]
        return with_figures(self.calculation.asked, typed)

    @property
    def asked_first(self) -> list[BoundField]:
        """Return the fields that are required or used most."""
        return [self[one["name"]] for one in self.inputs if self._first(one)]

    @property
    def may_stay(self) -> list[BoundField]:
        """Return the fields that have a usual value."""
        return [self[one["name"]] for one in self.inputs if not self._first(one)]

    @property
    def opened(self) -> bool:
        return any(field.errors or field.value() for field in self.may_stay)

    def _first(self, one: dict[str, Any]) -> bool:
        return bool(one["needed"]) or one["name"] in self.calculation.example

    @property
    def wrong(self) -> list[tuple[str, str]]:
        """Return each field with its error, shown while it is typed into."""
        return [(name, " ".join(str(e) for e in self.errors.get(name, []))) for name in self.kinds]

    @property
    def species_names(self) -> list[str]:
        woods = any(isinstance(kind, Wood) for kind in self.kinds.values())
        return wood_names() if woods else []


def in_lines(kind: Kind) -> bool:
    """Return whether an input takes several lines."""
    return isinstance(kind, Rows) or (isinstance(kind, Many) and kind.mark == ";")


def unit_of(unit: str, kind: Kind, person: Person) -> str:
    """Return the unit of a bare number for this person."""
    one = kind.of if isinstance(kind, Many) else kind
    if isinstance(one, Length):
        return person.unit
    if isinstance(one, Temperature):
        return f"°{person.temperature_unit}"
    us, either, metric = unit.partition(" or ")
    return us if person.unit == "in" or not metric else metric


def _hint(one: dict[str, Any], kind: Kind) -> str:
    if isinstance(kind, Many):
        told = _("%(least)s to %(most)s, with commas between") % {"least": kind.least, "most": kind.most}
        return f"{told}; {_empty(one)}" if not one["needed"] else told
    parts = [one["allowed"], *([_("such as 90 s, 20 min, 3 h")] if isinstance(kind, Duration) else [])]
    return "; ".join([*parts, *([] if one["needed"] else [_empty(one)])])


def _empty(one: dict[str, Any]) -> str:
    if one["default"] in (None, "", "none"):
        return _("empty: not given")
    return _("empty: %(usual)s") % {"usual": one["default"]}


def _row_hint(one: dict[str, Any], kind: Kind) -> str:
    if not one["rows"]:
        return _("One on a line")
    columns = ", ".join(
        row["says"] if row["needed"] else _("%(what)s, may stay empty") % {"what": row["says"]}
        for row in one["rows"]
    )
    return _("One on a line, with commas between: %(columns)s") % {"columns": columns}


def example_typed(calculation: Calculation, person: Person) -> dict[str, str]:
    """Return the example of a calculation in this person's units."""
    asked = read(calculation.asked, calculation.example, Habit())
    kinds = kinds_of(calculation.asked)
    named = {outward(name): name for name in kinds}
    return {
        typed: as_typed(kinds[named[typed]][0], getattr(asked, named[typed]), person)
        for typed in calculation.example
    }


def kept_typed(calculation: Calculation, kept: Mapping[str, Any], person: Person) -> dict[str, str]:
    """Return the inputs of a piece's calculation, as this person would type them."""
    known = {outward(name): kind for name, (kind, _) in kinds_of(calculation.asked).items()}
    called = CALLED_OTHERWISE.get(calculation.name, {})
    found = {}
    for field, value in kept.items():
        name = called.get(field, outward(field))
        if name in known and value not in (None, "", []):
            found[name] = as_typed(known[name], value, person)
    return found


def as_typed(kind: Kind, value: Any, person: Person) -> str:
    """Return a value as this person would type it."""
    if value is None or value == "":
        return ""
    if isinstance(kind, Rows):
        return "\n".join(_row_typed(kind, row, person) for row in value)
    if isinstance(kind, Many):
        mark = "\n" if kind.mark == ";" else f"{kind.mark} "
        return mark.join(as_typed(kind.of, one, person) for one in value)
    if isinstance(kind, Length):
        return format_length(int(value), person.unit)
    if isinstance(kind, Temperature):
        return format_temperature(Decimal(value), person.temperature_unit)
    if isinstance(kind, Duration):
        return format_duration(int(value)) if int(value) else "0 s"
    if isinstance(kind, Yes):
        return "yes" if value else "no"
    if isinstance(kind, Number) and kind.kept:
        return f"{value} {kind.kept}"
    return str(getattr(value, "key", value))


def _row_typed(kind: Rows, row: Any, person: Person) -> str:
    get = row.get if isinstance(row, Mapping) else lambda name: getattr(row, name)
    typed = [as_typed(inner, get(name), person) for name, (inner, _) in kinds_of(kind.of).items()]
    cells = [cell.replace(",", "") for cell in typed]  # a comma ends a cell
    while cells and not cells[-1]:
        cells.pop()
    return ", ".join(cells)
