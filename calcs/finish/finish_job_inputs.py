"""Tops to be finished, the air and what is beneath, as asked about them."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from calcs.asking.field_types import Duration, Many, Percent, Product, Temperature, Wood, Yes
from calcs.asking.figures import Figure
from calcs.asking.inputs import Rows, check
from calcs.curing.hardening_inputs import Hardening, SheetPoint
from calcs.finish.finish_plan import (
    BUILD,
    CAN,
    DRY_COAT,
    LENGTH,
    LOSS,
    QUANTITY,
    SEALING,
    SOLIDS,
    THICKNESS,
    THINNING,
    WIDTH,
    FinishPlan,
)
from calcs.materials.product_sheets import Finish

CAN_SIZES = (Decimal("0.473"), Decimal("0.946"), Decimal("3.785"))


@dataclass(frozen=True, kw_only=True)
class FinishJob:
    """Tops to be finished, the air, and what is beneath.

    Parameters
    ----------
    length_len, width_len, thickness_len, quantity, finish, sealing_coats, build_coats, loss_pct, solids_pct,
    thinning_pct, dry_coat_um
        As for `calcs.finish.finish_plan.FinishPlan`.
    turned : bool
        True where a coat all round is laid face by face, and the top turned over once the first is dry; False
        where it hangs or stands so that both are laid in one go.
    cans_l : tuple of Decimal
        Sizes of can on offer [L].
    temp_c, rh_pct, surface_c : Decimal
        Air, and surface of the top, as warm as the air by default [°C, %].
    under : Finish, optional
        A finish that is there already; bare wood by default.
    under_age_s : int, optional
        Time since its last coat [s].
    species : str, optional
        Name or shop name.
    points : tuple of SheetPoint
        The maker's own times at several temperatures.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    length_len: Annotated[int, LENGTH, Figure("Length")]
    width_len: Annotated[int, WIDTH, Figure("Width")]
    thickness_len: Annotated[int, THICKNESS, Figure("Thickness")]
    quantity: Annotated[int, QUANTITY] = 1
    finish: Annotated[Finish, Product("finish", Finish)]
    sealing_coats: Annotated[int | None, SEALING] = None
    build_coats: Annotated[int | None, BUILD, Figure("Build coats, face")] = None
    loss_pct: Annotated[Decimal, LOSS, Figure("Loss")] = Decimal(10)
    cans_l: Annotated[tuple[Decimal, ...], Many("sizes of can", CAN, 1, 8)] = CAN_SIZES
    temp_c: Annotated[Decimal, Temperature("temperature", "-20", "60")] = Decimal(21)
    rh_pct: Annotated[Decimal, Percent("relative humidity", "1", "100")] = Decimal(50)
    surface_c: Annotated[Decimal | None, Temperature("surface of the top", "-20", "60")] = None
    under: Annotated[Finish | None, Product("finish that is there", Finish)] = None
    under_age_s: Annotated[int | None, Duration("age of what is there")] = None
    species: Annotated[str | None, Wood("species")] = None
    solids_pct: Annotated[Decimal | None, SOLIDS] = None
    thinning_pct: Annotated[Decimal, THINNING, Figure("Thinner", quiet=True)] = Decimal(0)
    dry_coat_um: Annotated[Decimal | None, DRY_COAT, Figure("Dry film wanted of a coat")] = None
    turned: Annotated[bool, Yes("turned over between its faces"), Figure("Turned over between its faces")] = (
        True
    )
    points: Annotated[tuple[SheetPoint, ...], Rows("times of the maker's own sheet", SheetPoint, 0, 36)] = ()

    def __post_init__(self) -> None:
        check(self)
        coat_of(self)
        plan_of(self)


def coat_of(job: FinishJob) -> Hardening:
    """Return one coat of the job in its steady air, as its drying is asked for."""
    return Hardening(finish=job.finish, temp_c=job.temp_c, rh_pct=job.rh_pct, points=job.points)


def plan_of(job: FinishJob) -> FinishPlan:
    """Return the amount of the job as `calcs.finish.finishing` asks for it."""
    return FinishPlan(
        length_len=job.length_len,
        width_len=job.width_len,
        thickness_len=job.thickness_len,
        quantity=job.quantity,
        finish=job.finish,
        sealing_coats=job.sealing_coats,
        build_coats=job.build_coats,
        loss_pct=job.loss_pct,
        solids_pct=job.solids_pct,
        thinning_pct=job.thinning_pct,
        dry_coat_um=job.dry_coat_um,
    )
