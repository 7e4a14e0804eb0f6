"""Joint or coat that hardens, as asked about it: the sheet, the air, the start."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from calcs.asking.field_types import Choice, Duration, Length, Percent, Product, Temperature
from calcs.asking.inputs import Rows, check
from calcs.curing.laws import COAT_STEPS, GLUE_STEPS, steps_of
from calcs.curing.points import Point, check_points
from calcs.kit.errors import Unreadable
from calcs.kit.units import inches
from calcs.materials.product_sheets import Finish, Glue

OWN_POINTS = "the maker's own points, as entered"
LONGEST_S = 3650 * 86400
TEMP = Temperature("temperature", "-20", "60")
HUMIDITY = Percent("relative humidity", "1", "100")


@dataclass(frozen=True, kw_only=True)
class Climate:
    """Stretch of time with its air.

    Parameters
    ----------
    duration_s : int
        How long it lasts, 1 s to ten years [s].
    temp_c : Decimal
        Temperature, -20 to 60 [°C].
    rh_pct : Decimal
        Relative humidity, 1 to 100 [%]; 50 by default.

    Raises
    ------
    Unreadable, OutOfRange
    """

    duration_s: Annotated[int, Duration("how long", 1, LONGEST_S)]
    temp_c: Annotated[Decimal, TEMP]
    rh_pct: Annotated[Decimal, HUMIDITY] = Decimal(50)

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class SheetPoint:
    """One figure of a maker's sheet.

    Parameters
    ----------
    step : str
        Step it is for, such as "unclamp" or "recoat_from".
    temp_c : Decimal
        Steady temperature, -20 to 60 [°C].
    time_s : int
        Time the maker gives for it [s].

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    step: Annotated[str, Choice("step", tuple(dict.fromkeys((*GLUE_STEPS, *COAT_STEPS))))]
    temp_c: Annotated[Decimal, TEMP]
    time_s: Annotated[int, Duration("time", 1, LONGEST_S)]

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class Hardening:
    """Joint in clamps, or coat put on, and the air around it.

    Parameters
    ----------
    glue, finish : Glue or Finish
        The one or the other.
    temp_c, rh_pct : Decimal
        Air from the end of history and forecast on; from the start where there is neither [°C, %].
    history, forecast : tuple of Climate
        Air since the clamps or the coat, and air expected after it.
    points : tuple of SheetPoint
        The maker's own times at several temperatures, two to six for a step.
    thickness_len : int, optional
        Wood around a glue line, which lags behind the air [1/8 µm]; without it the line is as warm as the
        air.
    wood_c : Decimal, optional
        Wood at the start [°C]; as the first air by default.
    mc_pct : Decimal, optional
        Moisture content of the wood, 4 to 30 [%].

    Raises
    ------
    Unreadable, OutOfRange, Unknown
        Also for points that no product can have, see `calcs.curing.points.check_points`.
    """

    glue: Annotated[Glue | None, Product("glue", Glue)] = None
    finish: Annotated[Finish | None, Product("finish", Finish)] = None
    temp_c: Annotated[Decimal, TEMP]
    rh_pct: Annotated[Decimal, HUMIDITY] = Decimal(50)
    history: Annotated[tuple[Climate, ...], Rows("stretches of air so far", Climate)] = ()
    forecast: Annotated[tuple[Climate, ...], Rows("stretches of air expected", Climate)] = ()
    points: Annotated[tuple[SheetPoint, ...], Rows("times of the maker's own sheet", SheetPoint, 0, 36)] = ()
    thickness_len: Annotated[int | None, Length("thickness of the wood", inches("1/8"), inches(12))] = None
    wood_c: Annotated[Decimal | None, Temperature("wood at the start", "-20", "60")] = None
    mc_pct: Annotated[Decimal | None, Percent("moisture content of the wood", "4", "30")] = None

    def __post_init__(self) -> None:
        check(self)
        if (self.glue is None) == (self.finish is None):
            raise Unreadable(
                "a glue or a finish is needed, and not both",
                field="glue",
                value=None if self.glue is None else "both",
                allowed="glue or finish",
            )
        check_points(
            self.own, steps=steps_of(self.sheet), least_c=self.sheet.min_temp_c, most_c=self.sheet.max_temp_c
        )

    @property
    def sheet(self) -> Glue | Finish:
        """Return the product's sheet, of the glue or of the finish."""
        found = self.glue or self.finish
        assert found is not None
        return found

    @property
    def own(self) -> tuple[Point, ...]:
        """Return the maker's own points."""
        return tuple(Point(step=p.step, temp_c=p.temp_c, time_s=p.time_s) for p in self.points)
