"""Time in which the wood of a joint follows the air: a slab that takes heat through a film on both faces.

Thick stock is slowed by its own conduction, thin stock by the film of still air. The Biot number says which.

References
----------
.. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, ch. 5: plane wall with
   convection, first term; lumped capacity for a Biot number under 0.1 (from memory).
.. [2] Wood Handbook FPL-GTR-190 (2010), ch. 4: conductivity and heat capacity (from memory).
.. [3] ISO 6946: internal surface resistance of 0.13 m²K/W, radiation included (from memory).
"""

from __future__ import annotations

from functools import cache
from math import pi, tan

from calcs.kit.units import to_metres

CONDUCTIVITY_W_MK = 0.155
"""Of wood of specific gravity 0.6 at 8 % moisture: G (0.1941 + 0.004064 M) + 0.01864, equation of [2]."""
CAPACITY_J_M3K = 0.98e6
"""Of the same wood at 21 °C: 648 kg/m³ times 1.51 kJ/kgK, equations of [2]."""
FILM_W_M2K = 1 / 0.13
LAG_SOURCE = (
    "wood follows the air as a slab of mean hardwood between films of still air: Incropera and DeWitt, ch. 5;"
    " Wood Handbook FPL-GTR-190 (2010) ch. 4; ISO 6946, 0.13 m²K/W (from memory)"
)
LAG_OFF = 2.0
"""Factor by which wood may follow sooner or later: common practice, no source.

Free in a draught it follows sooner. Under cauls with one face on a bench only one face takes up heat.
"""
_HALVINGS = 60


@cache
def lag_of(thickness_len: int) -> float:
    """Return the time in which wood makes up 63 % of a step in the air's temperature [s].

    Parameters
    ----------
    thickness_len : int
        Thickness of the wood [1/8 µm].

    Notes
    -----
    With half the thickness L, Bi = h L / k. Lag = L² / (a z²), where a = k / (density x heat capacity) and z
    is the first root of z tan z = Bi. For thin stock it becomes that of a lump, L x capacity / h, which grows
    with the thickness; for thick stock 4 L² / (pi² a), which grows with its square. Wood may follow twice as
    fast or half as fast (`LAG_OFF`).

    References
    ----------
    .. [1] Incropera and DeWitt, ch. 5, plane wall with convection, first term (from memory).
    """
    half = to_metres(thickness_len) / 2
    root = first_root(FILM_W_M2K * half / CONDUCTIVITY_W_MK)
    return half**2 * CAPACITY_J_M3K / (CONDUCTIVITY_W_MK * root**2)


def first_root(biot: float) -> float:
    """Return the first root of z tan z = Bi, by halving.

    Parameters
    ----------
    biot : float
        Biot number, more than 0: film times half the thickness over conductivity.

    Examples
    --------
    >>> round(first_root(1.0), 4)
    0.8603
    """
    low, high = 0.0, pi / 2
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if middle * tan(middle) < biot:
            low = middle
        else:
            high = middle
    return (low + high) / 2
