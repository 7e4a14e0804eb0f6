"""Woods of the shop: species of the tables, and its own by the figures of a published sheet."""

from collections.abc import Mapping
from typing import Any

from calcs.asking.field_types import Wood
from calcs.asking.inputs import kinds_of, outward
from calcs.kit.errors import Unknown
from calcs.materials.own_woods import FIGURES_FOLLOW, WoodSheet
from calcs.materials.species import OWN_WOOD, species, species_list, wood_name
from jobs.core.command_cache import read_once
from jobs.core.errors import Invalid
from jobs.domain.stock.product_sheets import newest
from jobs.models import Sheet


@read_once("sheet_set")
def own_woods() -> dict[str, WoodSheet]:
    """Return the shop's own woods by their name in small letters, each as its newest sheet has it."""
    sheets = (product.wood for product in newest(Sheet.Kind.WOOD).values())
    return {sheet.name.casefold(): sheet for sheet in sheets if sheet is not None}


def wood_named(typed: str) -> str:
    """Return the name of a wood of the tables, of the shop's own, or of one marked as in neither.

    Figures are not taken here: a wood of the shop is entered once, as a sheet.
    """
    plain = " ".join(str(typed).split())
    own = own_woods().get(plain.casefold())
    if own is not None:
        return own.name
    if FIGURES_FOLLOW in plain:
        raise Invalid(
            "the figures of a wood are entered once, as a sheet", field="species", value=plain[:60],
            allowed="the name of a wood; its figures under Product sheets",
        )  # fmt: skip
    try:
        return wood_name(typed)
    except Unknown as refused:
        if own_woods():
            names = ", ".join(sheet.name for sheet in own_woods().values())
            refused.allowed = f"{names}; {refused.allowed}"
        raise


def wood_line(name: str) -> str:
    """Return a wood as calculations take it: the name of the tables, or the shop's own with its figures.

    A wood that was marked as in neither counts as the shop's own once that has its name.
    """
    plain = name.removesuffix(OWN_WOOD).strip()
    own = own_woods().get(plain.casefold())
    return name if own is None else own.line


def wood_names() -> list[str]:
    """Return every name and shop name of a wood, for a field to offer."""
    tables = {name for one in species_list() for name in (one.name, *one.aliases)}
    return sorted({*tables, *(sheet.name for sheet in own_woods().values())})


def with_figures(asked: type[Any], given: Mapping[str, Any]) -> dict[str, Any]:
    """Return the typed inputs of a calculation, with the figures of the shop's own woods for their names."""
    woods = {outward(name) for name, (kind, _) in kinds_of(asked).items() if isinstance(kind, Wood)}
    return {
        name: wood_line(value.strip()) if name in woods and isinstance(value, str) else value
        for name, value in given.items()
    }


def refuse_wood(sheet: WoodSheet, before: WoodSheet | None) -> None:
    """Refuse a wood with a name of the tables or of another sheet, and another name for a sheet of a wood."""
    if before is not None and before.name != sheet.name:
        raise Invalid(
            "boards and pieces have this wood by its name", field="name", value=sheet.name,
            allowed=f"{before.name}, or a new wood",
        )  # fmt: skip
    try:
        known = species(sheet.name).name
    except Unknown:
        known = ""
    other = own_woods().get(sheet.name.casefold())
    if known or (before is None and other is not None):
        raise Invalid(
            f"{known or sheet.name} is in the tables" if known else "there is a wood of this name",
            field="name", value=sheet.name, allowed="another name",
        )  # fmt: skip
