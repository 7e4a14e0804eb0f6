"""Product sheets of glues and finishes: the generic classes, and a maker's own."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from decimal import Decimal
from functools import cache
from types import MappingProxyType
from typing import Any, TypeVar

from calcs.kit.errors import CalcError, OutOfRange, Unreadable
from calcs.kit.rounding import places
from calcs.kit.typed import plain_decimal
from calcs.kit.units import parse_duration
from calcs.kit.validators import decimal, one_of, shown, whole
from calcs.tables import rows, told

GLUE_FAMILIES = ("pva", "pva-crosslinking", "epoxy", "urea", "polyurethane", "hide-liquid")
FINISH_FAMILIES = (
    "water-borne",
    "oil-varnish",
    "oil-polyurethane",
    "hard-wax-oil",
    "penetrating-oil",
    "shellac",
    "lacquer",
    "two-part",
)
LONGEST_S = 3650 * 86400
OWN_SHEET = "the shop's own entry from the product's sheet"

# lb/1000 ft2 in g/m2 and ft2/gal (US) in m2/L: NIST SP 811, 2008, appendix B.8, from its lb, ft and gal.
_G_M2 = Decimal("4.882428")
_M2_L = Decimal("0.02454234")
_SECONDS = {"s": 1, "min": 60, "h": 3600, "d": 86400}
_KEY = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_PLACES = {"degF": 2, "lb/1000ft2": 1, "ft2/gal": 2}

Sheet = TypeVar("Sheet", "Glue", "Finish")


@dataclass(frozen=True, kw_only=True)
class Glue:
    """What a glue's sheet says; times count from the clamps, at ``ref_temp_c``.

    Parameters
    ----------
    key, name : str
        Short name of letters, digits and hyphens; name for people.
    family : str
        One of ``GLUE_FAMILIES``.
    water_based : bool
        Whether the joint sets by losing water, so that cold spoils it for good.
    open_s, closed_s : int
        Open time, and assembly time in all [s].
    scrape_from_s, scrape_to_s : int or None
        When squeeze-out is rubbery [s]; both or neither.
    unclamp_s, machine_s, surface_s, full_s : int
        Clamps off; machining; final surfacing; full strength [s].
    ref_temp_c, min_temp_c, max_temp_c : Decimal
        Temperature of the figures, and least and most of wood, glue and shop [°C].
    rate_k : Decimal or None
        Activation energy over gas constant of a reaction-cured class [K]; None where no rate law is known.
    spread_g_m2 : Decimal
        Glue on a joint face or glue line [g/m²].
    shelf_life_d : int or None
        Shelf life [d].
    source : Mapping
        Field to where its figure comes from.

    Raises
    ------
    Unreadable, Unknown, OutOfRange
        Naming the field, also where two fields are in the wrong order.
    """

    key: str
    name: str
    family: str
    water_based: bool
    open_s: int
    closed_s: int
    scrape_from_s: int | None = None
    scrape_to_s: int | None = None
    unclamp_s: int
    machine_s: int
    surface_s: int
    full_s: int
    ref_temp_c: Decimal
    min_temp_c: Decimal
    max_temp_c: Decimal
    rate_k: Decimal | None = None
    spread_g_m2: Decimal
    shelf_life_d: int | None = None
    source: Mapping[str, str] = field(default_factory=dict, compare=False)

    def __post_init__(self) -> None:
        _check_common(self, GLUE_FAMILIES)
        if (self.scrape_from_s is None) != (self.scrape_to_s is None):
            raise Unreadable(
                "scrape_from_s and scrape_to_s go together: give both or neither",
                field="scrape_to_s",
                value=self.scrape_to_s,
                allowed="both or neither",
            )
        if self.rate_k is not None:
            decimal(self.rate_k, "rate_k", least="1000", most="20000")
            if self.water_based:
                raise OutOfRange(
                    "rate_k belongs to a glue that cures by reaction, not to one that sets by losing water",
                    field="rate_k",
                    value=self.rate_k,
                    allowed="none for a water_based glue",
                )
        decimal(self.spread_g_m2, "spread_g_m2", least="10", most="2000")
        if self.shelf_life_d is not None:
            whole(self.shelf_life_d, "shelf_life_d", least=1, most=3650)
        _in_order(self, "open_s", "closed_s")
        _in_order(self, "scrape_from_s", "scrape_to_s", strict=True)
        _in_order(self, "unclamp_s", "machine_s", "surface_s")
        _in_order(self, "unclamp_s", "full_s")


@dataclass(frozen=True, kw_only=True)
class Finish:
    """What a finish's sheet says; times count from the end of a coat, at ``ref_temp_c``.

    Parameters
    ----------
    key, name, family : str
        As for a glue; family one of ``FINISH_FAMILIES``.
    water_borne, self_heating, film : bool
        Raises the grain; rags heat by themselves; builds a film.
    touch_dry_s, recoat_from_s, light_use_s, full_s : int
        Dry to touch; next coat; light use; full cure [s].
    recoat_to_s : int or None
        Latest next coat without abrading [s]; None for no limit.
    ref_temp_c, min_temp_c, max_temp_c : Decimal
        Temperature of the figures, and least and most for use [°C].
    rh_max_pct : Decimal
        Most humid air for use [%].
    coverage_m2_per_l : Decimal
        Area a litre covers in one coat [m²/L].
    volume_solids_pct : Decimal or None
        Solids by volume [%].
    sealing_coats, build_coats : int
        Usual coats of a top: all round, and on the face besides.
    source : Mapping
        Field to where its figure comes from.

    Raises
    ------
    Unreadable, Unknown, OutOfRange
    """

    key: str
    name: str
    family: str
    water_borne: bool
    self_heating: bool
    film: bool
    touch_dry_s: int
    recoat_from_s: int
    recoat_to_s: int | None = None
    light_use_s: int
    full_s: int
    ref_temp_c: Decimal
    min_temp_c: Decimal
    max_temp_c: Decimal
    rh_max_pct: Decimal
    coverage_m2_per_l: Decimal
    volume_solids_pct: Decimal | None = None
    sealing_coats: int
    build_coats: int
    source: Mapping[str, str] = field(default_factory=dict, compare=False)

    def __post_init__(self) -> None:
        _check_common(self, FINISH_FAMILIES)
        decimal(self.rh_max_pct, "rh_max_pct", least="1", most="100")
        decimal(self.coverage_m2_per_l, "coverage_m2_per_l", least="1", most="200")
        if self.volume_solids_pct is not None:
            decimal(self.volume_solids_pct, "volume_solids_pct", least="1", most="100")
        whole(self.sealing_coats, "sealing_coats", least=1, most=20)
        whole(self.build_coats, "build_coats", least=0, most=20)
        _in_order(self, "touch_dry_s", "recoat_from_s")
        _in_order(self, "recoat_from_s", "recoat_to_s", strict=True)
        _in_order(self, "touch_dry_s", "light_use_s", "full_s")


@cache
def glue_classes() -> Mapping[str, Glue]:
    """The generic classes of glue by key, from ``tables/glues.csv``: the cautious end of what is in print."""
    return MappingProxyType({key: _sheet(Glue, values) for key, values in _table("glues").items()})


@cache
def finish_classes() -> Mapping[str, Finish]:
    """The generic classes of finish by key, from ``tables/finishes.csv``."""
    return MappingProxyType({key: _sheet(Finish, values) for key, values in _table("finishes").items()})


def glue_from(values: Mapping[str, object]) -> Glue:
    """A glue from a maker's own sheet.

    Parameters
    ----------
    values : Mapping
        The fields of `Glue`. Durations are whole seconds or text such as ``45 min``; other figures whole
        numbers, decimals or their text. Fields that may be None may be missing; ``source`` may be too.

    Raises
    ------
    Unreadable, Unknown, OutOfRange
        Naming the field: missing, not a field of a sheet, or out of its range.
    """
    return _sheet(Glue, values)


def finish_from(values: Mapping[str, object]) -> Finish:
    """A finish from a maker's own sheet; as `glue_from`."""
    return _sheet(Finish, values)


def _sheet(kind: type[Sheet], values: Mapping[str, object]) -> Sheet:
    known = {each.name: str(each.type) for each in fields(kind)}
    for name in values:
        one_of(name, "field of the sheet", known)
    read: dict[str, Any] = {}
    for name, annotation in known.items():
        value = values.get(name)
        if name == "source":
            read[name] = _sources(value, known)
        elif value is not None and value != "":
            read[name] = _value(name, annotation, value)
        elif "None" not in annotation:
            raise Unreadable(f"{name} is missing", field=name, value=value, allowed="a value")
    return kind(**read)


def _sources(value: object, known: Mapping[str, str]) -> dict[str, str]:
    given = {} if value is None else value
    if not isinstance(given, Mapping) or not all(isinstance(text, str) for text in given.values()):
        raise Unreadable("source is not a list of field and text", field="source", value=value)
    for name in given:
        one_of(name, "source", known)
    return {name: given.get(name, OWN_SHEET) for name in known if name != "source"}


def _value(name: str, annotation: str, value: object) -> object:
    if annotation.startswith("str") or annotation == "bool":
        return value
    if isinstance(value, str) and name.endswith("_s"):
        return parse_duration(value, field=name)
    if annotation.startswith("int"):
        return int(value) if isinstance(value, str) and re.fullmatch(r"\d{1,6}", value, re.ASCII) else value
    return _decimal(name, value)


def _decimal(name: str, value: object) -> Decimal:
    number = plain_decimal(value) if isinstance(value, str) else None
    if isinstance(value, int | float | Decimal) and not isinstance(value, bool) and len(str(value)) <= 40:
        number = Decimal(str(value))
    if number is None:
        raise Unreadable(
            f"{name} {shown(value)} is not a decimal number",
            field=name,
            value=value,
            allowed="a decimal number",
        )
    return number


def _table(name: str) -> dict[str, dict[str, object]]:
    values: dict[str, dict[str, object]] = {}
    sources: dict[str, dict[str, str]] = {}
    for row in rows(name):
        key, part = row["key"], row["property"]
        values.setdefault(key, {"key": key})[part] = _from_table(row["value"], row["unit"])
        sources.setdefault(key, {"key": "name of the class"})[part] = told(row["source"], row["provenance"])
    return {key: {**sheet, "source": sources[key]} for key, sheet in values.items()}


def _from_table(value: str, unit: str) -> object:
    if value == "" or unit == "text":
        return value or None
    if unit == "yes/no":
        return value == "yes"
    if unit in _SECONDS:
        return int(value) * _SECONDS[unit]
    if unit in ("count", "days"):
        return int(value)
    number = Decimal(value)
    if unit in _PLACES:
        scaled = {"degF": (number - 32) * 5 / 9, "lb/1000ft2": number * _G_M2, "ft2/gal": number * _M2_L}[
            unit
        ]
        return places(scaled, _PLACES[unit])
    return number


def _check_common(sheet: Glue | Finish, families: tuple[str, ...]) -> None:
    if not isinstance(sheet.key, str) or len(sheet.key) > 40 or not _KEY.fullmatch(sheet.key):
        raise _bad_text("key", sheet.key, "up to 40 lower-case letters, digits and single hyphens")
    if (
        not isinstance(sheet.name, str)
        or not sheet.name.strip()
        or not sheet.name.isprintable()
        or len(sheet.name) > 80
    ):
        raise _bad_text("name", sheet.name, "1 to 80 printable characters")
    one_of(sheet.family, "family", families)
    for each in fields(sheet):
        value = getattr(sheet, each.name)
        if each.type == "bool" and not isinstance(value, bool):
            raise _bad_text(each.name, value, "true or false")
        if each.name.endswith("_s") and (value is not None or "None" not in str(each.type)):
            whole(value, each.name, least=1, most=LONGEST_S)
    for name in ("min_temp_c", "ref_temp_c", "max_temp_c"):
        decimal(getattr(sheet, name), name, least="-20", most="100")
    _in_order(sheet, "min_temp_c", "ref_temp_c", "max_temp_c")


def _bad_text(name: str, value: object, allowed: str) -> CalcError:
    return Unreadable(f"{name} {shown(value)} is not {allowed}", field=name, value=value, allowed=allowed)


def _in_order(sheet: Glue | Finish, *names: str, strict: bool = False) -> None:
    for earlier, later in zip(names, names[1:], strict=False):
        low, high = getattr(sheet, earlier), getattr(sheet, later)
        if low is None or high is None or low < high or (low == high and not strict):
            continue
        allowed = f"{'more than' if strict else 'at least'} {earlier} ({low})"
        raise OutOfRange(
            f"{later} {high} is out of range: {allowed}", field=later, value=high, allowed=allowed
        )
