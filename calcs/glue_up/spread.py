"""Glue that joints and slots take.

References
----------
.. [1] ``calcs/tables/spreading.csv``: both faces against one, density; each with its source.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from calcs.materials.product_sheets import Glue
from calcs.tables import cite, rows


def glue_grams(glue: Glue, *, area_m2: Fraction, faces: str, slots: int, per_slot_ml: Decimal) -> Fraction:
    """Return the glue for joints and slots [g], nothing to spare.

    Parameters
    ----------
    glue : Glue
        Its ``spread_g_m2`` is for one face, or in all where the sheet wets both.
    area_m2 : Fraction
        Joints together [m²].
    faces : {"one", "both"}
        Faces of each joint that are spread.
    slots : int
        Slots of all joints.
    per_slot_ml : Decimal
        Glue in one slot [mL].

    Notes
    -----
    Glue = area x spread x times + slots x glue of a slot x density. ``times`` is 1 for one face, else the
    figure of the class for both.

    References
    ----------
    .. [1] The spread of the sheet; both faces and density: ``calcs/tables/spreading.csv``.
    """
    times = Fraction(_row(glue)["both_faces_times"]) if faces == "both" else Fraction(1)
    return area_m2 * Fraction(glue.spread_g_m2) * times + slots * Fraction(per_slot_ml) * density_g_ml(glue)


def density_g_ml(glue: Glue) -> Fraction:
    """Return the density of a class of glue [g/mL], which is [kg/L]; from memory."""
    return Fraction(_row(glue)["density_kg_l"])


def spread_sources(glue: Glue, faces: str) -> tuple[str, ...]:
    """Return the sources of spread, both faces and density."""
    row = _row(glue)
    both = f"both faces {row['both_faces_times']} times: {cite(row['both_source'], row['both_provenance'])}"
    density = cite(row["density_source"], row["density_provenance"])
    return (
        f"spread_g_m2: {glue.source.get('spread_g_m2', '')}",
        *((both,) if faces == "both" else ()),
        f"density {row['density_kg_l']} kg/L: {density}",
    )


def _row(glue: Glue) -> dict[str, str]:
    """Return the row of spreading of a class of glue."""
    return next(row for row in rows("spreading") if row["family"] == glue.family)
