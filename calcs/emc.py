"""Moisture content that wood comes to in air: the equilibrium moisture content."""

from __future__ import annotations

from decimal import Decimal

from calcs.air import Air
from calcs.guards import decimal
from calcs.rounding import places

EMC_SOURCE = "Wood Handbook FPL-GTR-190 (2010) eq. 4-5, constants after Simpson 1973"


def equilibrium_moisture(air: Air) -> Decimal:
    """Moisture content wood comes to if left in air long enough [%], to 0.01.

    Parameters
    ----------
    air : Air
        Temperature -1 to 95 °C, relative humidity 1 to 95 %.

    Raises
    ------
    OutOfRange
        Outside the range of the published table.

    Notes
    -----
    Hailwood-Horrobin equation with two hydrates. The 1973 fit differs from the older measured table by
    0.13 points on average.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, eq. 4-5 and table 4-2.
    .. [2] Simpson, W. T., "Predicting equilibrium moisture content of wood by mathematical models", Wood and
       Fiber 5(1), 1973.

    Examples
    --------
    >>> round(equilibrium_moisture(Air(temp_c=Decimal("21.1"), rh_pct=Decimal(50))), 1)  # table 4-2: 9.2
    Decimal('9.2')
    """
    decimal(air.temp_c, "temp_c", least="-1.2", most="95")
    decimal(air.rh_pct, "rh_pct", least="1", most="95")
    t, h = float(air.temp_c), float(air.rh_pct) / 100
    w = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * h
    hydrates = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return places(1800 / w * (kh / (1 - kh) + hydrates), 2)
