"""Product sheets of glues and finishes: the generic classes, and a maker's own.

Every figure of a sheet carries its source. The generic classes take the cautious end of what is in print; a
maker's own sheet replaces them figure by figure.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from types import MappingProxyType

from calcs.kit.errors import OutOfRange, Unreadable
from calcs.kit.validators import decimal, whole
from calcs.materials.sheet_checks import check_common, in_order
from calcs.materials.sheet_reading import read_sheet, sheets_of_table

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


@dataclass(frozen=True, kw_only=True)
class Glue:
    """Sheet of a glue; times count from the clamps, at ``ref_temp_c``.

    Parameters
    ----------
    key, name : str
        Short name of letters, digits and hyphens; name for people.
    family : str
        One of ``GLUE_FAMILIES``.
    water_based : bool
        True where the joint sets by losing water, so that cold spoils it for good.
    open_s, closed_s : int
        Open time, and assembly time in all [s].
    scrape_from_s, scrape_to_s : int or None
        Window in which squeeze-out is rubbery [s]; both or neither.
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
        Field to the source of its figure.

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
        check_common(self, GLUE_FAMILIES)
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
        in_order(self, "open_s", "closed_s")
        in_order(self, "scrape_from_s", "scrape_to_s", strict=True)
        in_order(self, "unclamp_s", "machine_s", "surface_s")
        in_order(self, "unclamp_s", "full_s")


@dataclass(frozen=True, kw_only=True)
class Finish:
    """Sheet of a finish; times count from the end of a coat, at ``ref_temp_c``.

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
        Field to the source of its figure.

    Raises
    ------
    Unreadable, Unknown, OutOfRange
        Naming the field, also where two fields are in the wrong order.
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
        check_common(self, FINISH_FAMILIES)
        decimal(self.rh_max_pct, "rh_max_pct", least="1", most="100")
        decimal(self.coverage_m2_per_l, "coverage_m2_per_l", least="1", most="200")
        if self.volume_solids_pct is not None:
            decimal(self.volume_solids_pct, "volume_solids_pct", least="1", most="100")
        whole(self.sealing_coats, "sealing_coats", least=1, most=20)
        whole(self.build_coats, "build_coats", least=0, most=20)
        in_order(self, "touch_dry_s", "recoat_from_s")
        in_order(self, "recoat_from_s", "recoat_to_s", strict=True)
        in_order(self, "touch_dry_s", "light_use_s", "full_s")


@cache
def glue_classes() -> Mapping[str, Glue]:
    """Return the generic classes of glue by key, from ``tables/glues.csv``: the cautious end of what is in
    print.
    """
    return MappingProxyType(
        {key: read_sheet(Glue, values) for key, values in sheets_of_table("glues").items()}
    )


@cache
def finish_classes() -> Mapping[str, Finish]:
    """Return the generic classes of finish by key, from ``tables/finishes.csv``."""
    return MappingProxyType(
        {key: read_sheet(Finish, values) for key, values in sheets_of_table("finishes").items()}
    )


def glue_from(values: Mapping[str, object]) -> Glue:
    """Return a glue from a maker's own sheet.

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
    return read_sheet(Glue, values)


def finish_from(values: Mapping[str, object]) -> Finish:
    """Return a finish from a maker's own sheet; values and errors as for `glue_from`."""
    return read_sheet(Finish, values)
