"""Woods outside the tables, by the figures of a published sheet: specific gravity, shrinkage, stiffness.

A wood is written as one line, such as ``ipe: gravity 0.92, tangential 8 %, radial 6.6 %, elasticity 22 GPa,
source sheet of the importer``. Whatever takes a species takes such a line too.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from calcs.kit.errors import Unreadable
from calcs.kit.rounding import places
from calcs.kit.typed import plain_decimal
from calcs.kit.validators import decimal, one_of, shown

FIGURES_FOLLOW = ":"
FORM = (
    "NAME: gravity 0.92, tangential 8 %, radial 6.6 %, elasticity 22 GPa, source WHERE; each figure may be"
    " left out, and basis green volume or oily be added"
)
BASES = ("12%", "green volume")
"""Volumes that a specific gravity is for: at 12 % of moisture, or green."""
TYPED = "your own figures, typed"
SATURATION, AT_TABLE = 30, 10
"""Moistures at which shrinkage begins, and at which the sizes of the coefficients are taken [%]."""
MPA = {"MPa": Decimal(1), "GPa": Decimal(1000), "psi": Decimal("0.006894757"), "Mpsi": Decimal("6894.757")}
"""Units of a modulus in MPa: NIST SP 811, 2008, appendix B.8."""
LONGEST_NAME, LONGEST_SOURCE = 60, 200
_VOLUMES = dict(zip(BASES, ("volume at 12 %", "green volume"), strict=True))
_SHORT = {"g": "gravity", "t": "tangential", "r": "radial", "e": "elasticity"}


@dataclass(frozen=True, kw_only=True)
class Species:
    """One species of the tables, or a wood whose figures are given.

    Parameters
    ----------
    name, group : str
        Name in the Wood Handbook; "hardwood", "softwood", "import", or "own" for figures that are given.
    aliases : tuple of str
        Shop names that mean it.
    radial, tangential : Decimal or None
        Dimensional change coefficients, quartersawn and flatsawn [fraction of size per % moisture].
    gravity : Decimal or None
        Specific gravity, ovendry weight over volume at ``gravity_basis`` ("12%" or "green volume").
    movement_source, gravity_source : str
        Sources of the figures.
    elasticity_mpa, elasticity_source : Decimal or None, str
        Modulus of elasticity along the grain as given [MPa], and its source; None for a species of the
        tables, which have it apart.
    oily : bool
        True where the oils of the wood slow a drying finish, as given.
    """

    name: str
    group: str
    aliases: tuple[str, ...]
    radial: Decimal | None
    tangential: Decimal | None
    gravity: Decimal | None
    gravity_basis: str
    movement_source: str
    gravity_source: str
    elasticity_mpa: Decimal | None = None
    elasticity_source: str = ""
    oily: bool = False


@dataclass(frozen=True, kw_only=True)
class WoodSheet:
    """Figures of a wood as its published sheet has them.

    Parameters
    ----------
    key, name : str
        Short name of letters, digits and hyphens; name for people.
    gravity : Decimal
        Specific gravity, ovendry weight over volume, 0.05 to 1.5.
    gravity_basis : str
        Volume that it is for: "12%" or "green volume".
    tangential_pct, radial_pct : Decimal or None
        Shrinkage from green to ovendry, 0.5 to 25 [%].
    elasticity_mpa : Decimal or None
        Modulus of elasticity along the grain, 500 to 50 000 [MPa].
    oily : bool
        True where the oils of the wood slow a drying finish.
    source : Mapping
        Field to the source of its figure.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
        Naming the field, its value and what is allowed.
    """

    key: str
    name: str
    gravity: Decimal
    gravity_basis: str
    tangential_pct: Decimal | None = None
    radial_pct: Decimal | None = None
    elasticity_mpa: Decimal | None = None
    oily: bool
    source: Mapping[str, str]

    def __post_init__(self) -> None:
        check_name(self.name)
        _check_figures(self)

    @property
    def line(self) -> str:
        """Return the wood as one line, for whatever takes a species."""
        named = ("gravity", "tangential_pct", "radial_pct", "elasticity_mpa")
        told = "; ".join(filter(None, dict.fromkeys(self.source.get(each, "") for each in named)))
        figures = (
            ("gravity", self.gravity, ""),
            ("basis", self.gravity_basis, ""),
            ("tangential", self.tangential_pct, " %"),
            ("radial", self.radial_pct, " %"),
            ("elasticity", self.elasticity_mpa, " MPa"),
        )
        said = [f"{name} {value}{unit}" for name, value, unit in figures if value is not None]
        return f"{self.name}: {', '.join([*said, *(['oily'] if self.oily else []), f'source {told}'])}"


def wood_of(line: str) -> Species:
    """Return the wood that one line describes.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
        Naming what of the line cannot be read, and the form it should have.

    Notes
    -----
    Coefficients are worked out from the shrinkage by `coefficient_from`.

    Examples
    --------
    >>> ipe = wood_of("ipe: gravity 0.92, tangential 8 %, radial 6.6 %, source a sheet")
    >>> ipe.name, ipe.tangential, ipe.gravity_source
    ('ipe', Decimal('0.00282'), 'ipe: gravity 0.92, volume at 12 %; a sheet')
    """
    name, _, rest = line.partition(FIGURES_FOLLOW)
    figures, _, told = f" {rest}".partition(" source ")
    given = _given(figures)
    sheet = WoodSheet(
        key="typed",
        name=" ".join(name.split()),
        gravity=given.get("gravity", Decimal("0.5")),
        gravity_basis=given.get("basis", BASES[0]),
        tangential_pct=given.get("tangential"),
        radial_pct=given.get("radial"),
        elasticity_mpa=given.get("elasticity"),
        oily=given.get("oily", False),
        source={},
    )
    source = " ".join(told.split())[:LONGEST_SOURCE] or TYPED
    shrinks = f"shrinkage {sheet.tangential_pct} % tangential, {sheet.radial_pct} % radial"
    return Species(
        name=sheet.name,
        group="own",
        aliases=(),
        radial=None if sheet.radial_pct is None else coefficient_from(sheet.radial_pct),
        tangential=None if sheet.tangential_pct is None else coefficient_from(sheet.tangential_pct),
        gravity=given.get("gravity"),
        gravity_basis=sheet.gravity_basis,
        movement_source=f"{sheet.name}: {shrinks}, fibre saturation taken at 30 %; {source}",
        gravity_source=f"{sheet.name}: gravity {sheet.gravity}, {_VOLUMES[sheet.gravity_basis]}; {source}",
        elasticity_mpa=sheet.elasticity_mpa,
        elasticity_source=f"{sheet.name}: {sheet.elasticity_mpa} MPa; {source}",
        oily=sheet.oily,
    )


def coefficient_from(shrinkage_pct: Decimal) -> Decimal:
    """Return the dimensional change coefficient of a shrinkage from green to ovendry, to five decimals.

    Parameters
    ----------
    shrinkage_pct : Decimal
        Shrinkage of the green size [%].

    Notes
    -----
    C = (S/3000) / (1 - 20 S/3000): shrinkage begins at 30 % of moisture, and coefficients are for the size at
    10 %.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 13.

    Examples
    --------
    Black walnut: 7.8 % tangential in table 4-3, 0.00274 in table 13-5.

    >>> coefficient_from(Decimal("7.8"))
    Decimal('0.00274')
    """
    unit = Fraction(shrinkage_pct) / (100 * SATURATION)
    return places(unit / (1 - unit * (SATURATION - AT_TABLE)), 5)


def modulus_mpa(text: str) -> Decimal:
    """Return a modulus of elasticity with its unit in MPa.

    Raises
    ------
    Unreadable
        Also for a bare number, which could be of any unit.

    Examples
    --------
    >>> modulus_mpa("22 GPa"), modulus_mpa("1.68 Mpsi")
    (Decimal('22000'), Decimal('11583'))
    """
    digits, _, unit = text.strip().partition(" ")
    number = plain_decimal(digits)
    if number is None or unit.strip() not in MPA:
        raise Unreadable(
            f"elasticity {shown(text)} is not a number with its unit",
            field="elasticity_mpa",
            value=text,
            allowed=f"such as 22 GPa; {', '.join(MPA)}",
        )
    return places(number * MPA[unit.strip()], 0)


def check_name(name: str) -> None:
    """Refuse a name that cannot stand before the figures of a wood.

    Raises
    ------
    Unreadable
    """
    plain = isinstance(name, str) and name.isprintable() and not re.search(r"[:;(]", name)
    if not plain or not 0 < len(name.strip()) <= LONGEST_NAME:
        allowed = f"1 to {LONGEST_NAME} characters without : ; or ("
        raise Unreadable(f"name {shown(name)} is not {allowed}", field="name", value=name, allowed=allowed)


def _check_figures(sheet: WoodSheet) -> None:
    """Refuse figures outside what any wood has."""
    one_of(sheet.gravity_basis, "gravity_basis", BASES)
    decimal(sheet.gravity, "gravity", least="0.05", most="1.5")
    for name, least, most in (
        ("tangential_pct", "0.5", "25"),
        ("radial_pct", "0.5", "25"),
        ("elasticity_mpa", "500", "50000"),
    ):
        if getattr(sheet, name) is not None:
            decimal(getattr(sheet, name), name, least=least, most=most)
    if not isinstance(sheet.oily, bool):
        raise Unreadable("oily is not true or false", field="oily", value=sheet.oily, allowed="true or false")


def _given(figures: str) -> dict[str, Any]:
    """Return the figures of a line by name."""
    found: dict[str, Any] = {}
    for part in filter(None, map(str.strip, figures.split(","))):
        word, _, value = part.partition(" ")
        name = _SHORT.get(word.casefold(), word.casefold())
        read = _READERS.get(name)
        figure = None if read is None or name in found else read(value.strip())
        if figure is None:
            raise Unreadable(
                f"species: {shown(part)} is no figure of a wood", field="species", value=part, allowed=FORM
            )
        found[name] = figure
    return found


def _basis(text: str) -> str | None:
    """Return the volume that a specific gravity is for."""
    told = "".join(text.split()).casefold().removesuffix("volume")
    return BASES[0] if told == "12%" else BASES[1] if told == "green" else None


def _percent(text: str) -> Decimal | None:
    """Return a percentage, with or without its sign."""
    return plain_decimal(text.removesuffix("%"))


_READERS: Mapping[str, Callable[[str], Any]] = {
    "gravity": plain_decimal,
    "basis": _basis,
    "tangential": _percent,
    "radial": _percent,
    "elasticity": modulus_mpa,
    "oily": lambda text: True if not text else None,
}
