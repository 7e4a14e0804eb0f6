"""Strips, glue, day and hands of a glue-up, as asked about it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from calcs.asking.field_types import (
    Choice,
    Duration,
    Length,
    Many,
    Number,
    Percent,
    Product,
    Temperature,
    Whole,
)
from calcs.asking.figures import Figure
from calcs.asking.inputs import check
from calcs.glue_up.assembly import REF_RH_PCT
from calcs.kit.units import inches
from calcs.lumber.layout import MOST_STRIPS
from calcs.materials.product_sheets import Glue

_STRIP = Length("width of a strip", inches("1/2"), inches(60))


@dataclass(frozen=True, kw_only=True)
class GlueLines:
    """Strips to be glued into a top, the glue, the day and the hands.

    Parameters
    ----------
    strips_len : tuple of int
        Widths left to right [1/8 µm].
    length_len, thickness_len : int
        Of the strips as glued, trim included [1/8 µm].
    glue : Glue
        Product sheet.
    faces : {"one", "both"}
        Faces of each joint that are spread.
    slots : int
        Slots for biscuits, dowels or loose tenons, all joints together.
    per_slot_ml, spare_pct : Decimal
        Glue in one slot [mL]; glue on top of the computed amount [%].
    temp_c, rh_pct : Decimal
        Wood, glue and shop [°C]; air [%].
    per_foot_s, per_joint_s, per_clamp_s : int
        Pace: spreading a foot of one face, setting and closing a joint, tightening a clamp [s].
    dry_fit_s : int, optional
        Timed dry fit of the whole top, first strip to last joint closed; then the pace is its share [s].
    people : int
        People at the glue-up.
    planer_len, jointer_len : int, optional
        Widths of the machines, for sub-assemblies [1/8 µm].

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    strips_len: Annotated[tuple[int, ...], Many("strips left to right", _STRIP, 2, MOST_STRIPS)]
    length_len: Annotated[int, Length("length of the joints", inches(1), inches(480)), Figure("Length")]
    thickness_len: Annotated[int, Length("thickness", inches("1/8"), inches(12))]
    glue: Annotated[Glue, Product("glue", Glue)]
    faces: Annotated[str, Choice("faces spread", ("one", "both"))] = "one"
    slots: Annotated[int, Whole("slots in all", 0, 10_000), Figure("Slots to cut")] = 0
    per_slot_ml: Annotated[Decimal, Number("glue in one slot", "0", "50", "mL")] = Decimal("1.5")
    spare_pct: Annotated[Decimal, Percent("glue to spare")] = Decimal(10)
    temp_c: Annotated[Decimal, Temperature("wood, glue and shop", "-20", "60"), Figure("Temperature")] = (
        Decimal(21)
    )
    rh_pct: Annotated[Decimal, Percent("humidity of the air", "1", "100")] = REF_RH_PCT
    per_foot_s: Annotated[int, Duration("spreading a foot of one face", 1, 600)] = 8
    per_joint_s: Annotated[int, Duration("setting and closing a joint", 1, 3600)] = 20
    per_clamp_s: Annotated[int, Duration("tightening a clamp", 1, 600)] = 10
    dry_fit_s: Annotated[int | None, Duration("timed dry fit of the whole top", 1, 86400)] = None
    people: Annotated[int, Whole("people", 1, 10), Figure("People there")] = 1
    planer_len: Annotated[int | None, Length("width of the planer", inches(4), inches(80))] = None
    jointer_len: Annotated[int | None, Length("width of the jointer", inches(4), inches(80))] = None

    def __post_init__(self) -> None:
        check(self)
