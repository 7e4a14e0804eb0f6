"""Species of wood: movement with moisture, and specific gravity.

A species is named by its name or shop name of the tables, or described by the line of its figures.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from functools import cache
from types import MappingProxyType

from calcs.kit.errors import Unknown, Unreadable
from calcs.kit.validators import one_of, shown
from calcs.materials.own_woods import FIGURES_FOLLOW, FORM, Species, wood_of
from calcs.tables import cite, rows

OWN_WOOD, LONGEST_WOOD, LONGEST_LINE = "(not in the table)", 80, 400
"""Mark after the name of a wood that the tables lack; figures that need it are left out."""


def species(name: str) -> Species:
    """Return a species by its name or shop name, in upper or lower case, or by the line of its figures.

    Raises
    ------
    Unknown
        Listing the nearest names; or saying that the tables have no figures for this wood.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, tables 13-5, 5-3b and 5-5b.

    Examples
    --------
    >>> species("Walnut").name, species("white oak").tangential  # table 13-5: 0.00365
    ('black walnut', Decimal('0.00365'))
    """
    if isinstance(name, str) and FIGURES_FOLLOW in name:
        return wood_of(name)
    known = _by_name()
    plain = " ".join(name.split()).casefold() if isinstance(name, str) else name
    if isinstance(plain, str) and plain.endswith(OWN_WOOD):
        raise Unknown(
            f"no figures for {shown(wood_name(name).removesuffix(OWN_WOOD).strip())} in the table:"
            " coefficients and density missing; enter them once as a wood of the shop, or type them",
            field="species",
            value=name,
            allowed=f"a species of the table, or {FORM}",
        )
    one_of(plain, "species", known)
    return known[plain]


def wood_name(typed: str) -> str:
    """Return the name of a species of the table, or another wood where the text says it is one.

    The line of a wood's figures is returned as it is, once it can be read.

    Raises
    ------
    Unknown
        Listing the nearest names.
    Unreadable
        If nothing, or nothing that can be read, stands before the mark of a wood outside the table.

    Examples
    --------
    >>> wood_name("Walnut"), wood_name(" ipe (not in the table)")
    ('black walnut', 'ipe (not in the table)')
    """
    plain = " ".join(typed.split()) if isinstance(typed, str) else ""
    if FIGURES_FOLLOW in plain and len(plain) <= LONGEST_LINE:
        wood_of(plain)
        return plain
    if not plain.casefold().endswith(OWN_WOOD):
        try:
            return species(typed).name
        except Unknown as refused:
            more = f"; or any name with {OWN_WOOD} after it; or its figures, {FORM}"
            raise Unknown(
                refused.detail + more, field=refused.field, value=typed, allowed=refused.allowed + more
            ) from None
    own = plain[: -len(OWN_WOOD)].strip()
    if not own or not own.isprintable() or len(own) > LONGEST_WOOD - len(OWN_WOOD) - 1:
        raise Unreadable(
            f"species {shown(own)} is not a name for a wood",
            field="species",
            value=ascii(own)[:60],
            allowed=f"letters, signs and spaces, up to {LONGEST_WOOD - len(OWN_WOOD) - 1} characters",
        )
    return f"{own} {OWN_WOOD}"


def species_list() -> tuple[Species, ...]:
    """Return every species of the tables, as printed."""
    return tuple(dict.fromkeys(_by_name().values()))


@cache
def _by_name() -> Mapping[str, Species]:
    """Return every species by its names and shop names, in lower case."""
    gravity = {row["species"]: row for row in rows("gravity")}
    known: dict[str, Species] = {}
    for row in rows("movement"):
        one = _species(row, gravity.get(row["species"], {}))
        known[one.name.casefold()] = one
    for one in tuple(known.values()):
        known.update((alias.casefold(), one) for alias in one.aliases)
    return MappingProxyType(known)


def _species(row: dict[str, str], weight: dict[str, str]) -> Species:
    """Return one species from its rows of movement and gravity."""
    return Species(
        name=row["species"],
        group=row["group"],
        aliases=tuple(filter(None, row["aliases"].split(";"))),
        radial=Decimal(row["c_r"]),
        tangential=Decimal(row["c_t"]),
        gravity=Decimal(weight["specific_gravity"]) if weight else None,
        gravity_basis=weight.get("basis", ""),
        movement_source=cite(row["source"], row["provenance"]),
        gravity_source=cite(weight["source"], weight["provenance"]) if weight else "",
    )
