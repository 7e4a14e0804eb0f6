"""How much glue joints and slots take."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from calcs.materials.product_sheets import Glue
from calcs.tables import cite, rows


def glue_grams(glue: Glue, *, area_m2: Fraction, faces: str, slots: int, per_slot_ml: Decimal) -> Fraction:
    """Glue for joints and slots [g], nothing to spare.

    Parameters
    ----------
    glue : Glue
        Its ``spread_g_m2`` is for one face, or in all where the sheet wets both.
    area_m2 : Fraction
        Joints together [m²].
    faces : {"one", "both"}
    slots : int
    per_slot_ml : Decimal
        Glue in one slot [mL].
    """
    times = Fraction(_row(glue)["both_faces_times"]) if faces == "both" else Fraction(1)
    return area_m2 * Fraction(glue.spread_g_m2) * times + slots * Fraction(per_slot_ml) * density_g_ml(glue)


def density_g_ml(glue: Glue) -> Fraction:
    """Density of a class of glue [g/mL], which is [kg/L]; from memory."""
    return Fraction(_row(glue)["density_kg_l"])


def spread_sources(glue: Glue, faces: str) -> tuple[str, ...]:
    """Where spread, both faces and density come from."""
    row = _row(glue)
    both = f"both faces {row['both_faces_times']} times: {cite(row['both_source'], row['both_provenance'])}"
    density = cite(row["density_source"], row["density_provenance"])
    return (
        f"spread_g_m2: {glue.source.get('spread_g_m2', '')}",
        *((both,) if faces == "both" else ()),
        f"density {row['density_kg_l']} kg/L: {density}",
    )


def _row(glue: Glue) -> dict[str, str]:
    return next(row for row in rows("spreading") if row["family"] == glue.family)
