"""Dew point of the shop's air, and the test whether a surface is warm enough to coat.

Water settles on a surface colder than the dew point and spoils a coat. Makers of coatings therefore ask for a
margin above the dew point and for air that is not too humid. The margin here was written for steel and is
borrowed for wood.

References
----------
.. [1] ASHRAE Handbook Fundamentals, 2017, ch. 1: dew point.
.. [2] ISO 8502-4 and ISO 12944-7, as paint makers' guides cite them: margin and greatest humidity.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

import psychrolib

from calcs.asking.field_types import Percent, Temperature
from calcs.asking.figure_wording import in_both
from calcs.asking.inputs import check
from calcs.kit.amounts import both_temperatures
from calcs.kit.rounding import places
from calcs.kit.validators import decimal

MARGIN_C = Decimal(3)
MARGIN = f"{MARGIN_C * 9 / 5} °F ({MARGIN_C} °C)"
RH_MOST_PCT = Decimal(85)
MARGIN_SOURCE = (
    "3 °C (5 °F) above the dew point and air at most 85 % RH: paint makers' guides citing ISO 8502-4 and"
    " ISO 12944-7 (read; rules for steel, borrowed)"
)
DEW_POINT_SOURCE = "ASHRAE Handbook Fundamentals 2017, ch. 1"

psychrolib.SetUnitSystem(psychrolib.SI)


@dataclass(frozen=True, kw_only=True)
class Air:
    """Temperature and relative humidity of air.

    Parameters
    ----------
    temp_c : Decimal
        Temperature, -40 to 95 [°C].
    rh_pct : Decimal
        Relative humidity, 1 to 100 [%].

    Raises
    ------
    Unreadable, OutOfRange
        Naming the field, its value and its range.
    """

    temp_c: Annotated[Decimal, Temperature("temperature", "-40", "95")]
    rh_pct: Annotated[Decimal, Percent("relative humidity", "1", "100")]

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class Coating:
    """Verdict on coating a surface in this air.

    Attributes
    ----------
    ok : bool
        True where the surface is warm enough and the air dry enough.
    dew_point_c : Decimal
        Dew point of the air, to 0.1 [°C].
    least_surface_c : Decimal
        Coldest surface that may be coated: dew point plus 3 °C, to 0.1 [°C].
    reasons : tuple of str
        One sentence for each condition that is not met; empty where ``ok``.
    source : tuple of str
        Sources of the dew point and of the margin.
    """

    ok: bool
    dew_point_c: Decimal
    least_surface_c: Decimal
    reasons: tuple[str, ...]
    source: tuple[str, ...]


def dew_point(air: Air) -> Decimal:
    """Return the temperature at which water begins to settle from air [°C], to 0.1.

    Parameters
    ----------
    air : Air
        Temperature [°C] and relative humidity [%].

    Returns
    -------
    Decimal
        Dew point [°C]; frost point below 0 °C.

    Notes
    -----
    The dew point is the temperature t at which saturation pressure equals the vapour pressure of the air,
    p_ws(t) = RH x p_ws(temp). PsychroLib solves this for t by Newton's method.

    References
    ----------
    .. [1] ASHRAE Handbook Fundamentals, 2017, ch. 1, eqn 5 and 6, solved by PsychroLib (Meyer and Thevenard,
       JOSS 4(33), 1137, 2019, doi:10.21105/joss.01137).

    Examples
    --------
    >>> dew_point(Air(temp_c=Decimal(20), rh_pct=Decimal(100)))  # saturated air is at its dew point
    Decimal('20.0')
    """
    return places(psychrolib.GetTDewPointFromRelHum(float(air.temp_c), float(air.rh_pct) / 100), 1)


def may_coat(air: Air, *, surface_c: Decimal) -> Coating:
    """Judge whether a surface is far enough above the dew point, and the air dry enough, for any coat.

    Parameters
    ----------
    air : Air
        Air around the surface.
    surface_c : Decimal
        Temperature of the surface, -40 to 95 [°C].

    Returns
    -------
    Coating
        With one reason for each condition that is not met.

    Raises
    ------
    Unreadable, OutOfRange
        If ``surface_c`` is no number or outside its range.

    Notes
    -----
    Two conditions: surface >= dew point + 3 °C, and relative humidity <= 85 %.
    The finish's own sheet is usually narrower; see `calcs.curing.curing.coat_times`.

    References
    ----------
    .. [1] Paint makers' guides citing ISO 8502-4 and ISO 12944-7 (read; rules for steel, borrowed).

    Examples
    --------
    >>> may_coat(Air(temp_c=Decimal(20), rh_pct=Decimal(90)), surface_c=Decimal(25)).reasons
    ('air at 90 % RH is above 85 %',)
    """
    decimal(surface_c, "surface", least="-40", most="95")
    dew_point_c = dew_point(air)
    least_c = dew_point_c + MARGIN_C
    reasons = []
    if surface_c < least_c:
        reasons.append(
            f"surface at {both_temperatures(surface_c)} is less than {MARGIN} above the dew point of"
            f" {both_temperatures(dew_point_c)}"
        )
    if air.rh_pct > RH_MOST_PCT:
        reasons.append(f"air at {in_both(air.rh_pct, '%')} RH is above {RH_MOST_PCT} %")
    return Coating(
        ok=not reasons,
        dew_point_c=dew_point_c,
        least_surface_c=least_c,
        reasons=tuple(reasons),
        source=(DEW_POINT_SOURCE, MARGIN_SOURCE),
    )
