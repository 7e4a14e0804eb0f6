"""Panel to be clamped, and the clamps of the shop, as asked about them."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from calcs.asking.field_types import Choice, Length, Number, Product, Whole, Wood
from calcs.asking.figures import Figure
from calcs.asking.inputs import Rows, check
from calcs.glue_up.pressure import CLAMP_KINDS, USUAL_KIND
from calcs.kit.errors import Unreadable
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches
from calcs.materials.product_sheets import Glue


@dataclass(frozen=True, kw_only=True)
class Clamps:
    """Clamps of one kind and reach that the shop has.

    Parameters
    ----------
    kind : str
        One of `calcs.glue_up.pressure.CLAMP_KINDS`.
    reach_len : int
        Reach [1/8 µm].
    owned, held : int
        Clamps owned, and those of them on other work.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    kind: Annotated[str, Choice("kind of clamp", CLAMP_KINDS), Figure("Kind")] = USUAL_KIND
    reach_len: Annotated[int, Length("reach", inches(1), inches(480))]
    owned: Annotated[int, Whole("owned", 0, 1000), Figure("Owned")]
    held: Annotated[int, Whole("held by other work", 0, 1000), Figure("On other work")] = 0

    def __post_init__(self) -> None:
        check(self)
        if self.held > self.owned:
            raise out_of_range("held", self.held, f"0 to {self.owned}")


@dataclass(frozen=True, kw_only=True)
class Panel:
    """Edge-glued panel, or one stage of it, about to be clamped.

    Parameters
    ----------
    width_len, length_len, thickness_len : int
        Of the strips laid together; length along the joints [1/8 µm].
    outer_len : int
        Width of the narrower of the two outer strips: from the clamp to the nearest joint [1/8 µm].
    batten_len : int
        Thickness of a batten between clamps and edge [1/8 µm].
    glue : Glue
        Product sheet.
    species : str, optional
        Needed unless ``pressure_kpa`` is given or the glue wants contact only.
    pressure_kpa : Decimal, optional
        The glue sheet's own pressure [kPa].
    spacing_len, end_len : int
        Widest spacing wanted, and distance of the first clamp from the end [1/8 µm].
    clamps : tuple of Clamps
        Those of the shop; without any the plan is made for bar or pipe clamps and nothing is counted.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    width_len: Annotated[int, Length("width of the panel", inches(1), inches(240)), Figure("Width")]
    length_len: Annotated[int, Length("length of the joints", inches(1), inches(480)), Figure("Length")]
    thickness_len: Annotated[int, Length("thickness", inches("1/8"), inches(12))]
    outer_len: Annotated[int, Length("width of the narrower outer strip", inches("1/2"), inches(60))]
    batten_len: Annotated[int, Length("batten between clamps and edge", 0, inches(6))] = 0
    glue: Annotated[Glue, Product("glue", Glue)]
    species: Annotated[str | None, Wood("species")] = None
    pressure_kpa: Annotated[Decimal | None, Number("pressure of the glue's sheet", "0", "3500", "kPa")] = None
    spacing_len: Annotated[
        int, Length("widest spacing of clamps", inches(8), inches(12)), Figure("Widest spacing wanted")
    ] = inches(12)
    end_len: Annotated[
        int, Length("first clamp from the end", inches("3/2"), inches(2)), Figure("First clamp from the end")
    ] = inches(2)
    clamps: Annotated[
        tuple[Clamps, ...], Rows("clamps of the shop", Clamps, 0, 100), Figure("Clamps of the shop")
    ] = ()

    def __post_init__(self) -> None:
        check(self)
        if self.outer_len >= self.width_len:
            allowed = f"less than {both_units(self.width_len)}, to leave a joint"
            raise out_of_range("outer", both_units(self.outer_len), allowed)
        if self.species is None and self.pressure_kpa is None and self.glue.family != "epoxy":
            raise Unreadable(
                "species is needed for the pressure, or the pressure of the glue's own sheet",
                field="species",
                value=None,
                allowed="a species, or pressure",
            )
