"""Wet film, dry film and spreading rate of a coating.

Pure geometry: 1 L spread 1 µm thick covers 1000 m². A dry film is the wet one times the solids by volume.
Oils and first coats soak in, so the film sums do not hold for them.

References
----------
.. [1] Coatings maker, estimating guide on calculation and conversion (undated, name withheld).
.. [2] NIST SP 811, 2008, appendix B.8: 1 gal (US) = 3.785411784 L, 1 ft² = 0.09290304 m².
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from calcs.kit.rounding import places
from calcs.kit.validators import decimal

UM_PER_MIL = Decimal("25.4")


def dry_film_um(*, wet_um: Decimal, solids_pct: Decimal, thinning_pct: Decimal = Decimal(0)) -> Decimal:
    """Return the dry film that a wet film leaves [µm], to 0.01.

    Parameters
    ----------
    wet_um : Decimal
        Wet film, 1 to 5000 [µm].
    solids_pct : Decimal
        Solids by volume, not by weight, 1 to 100 [%].
    thinning_pct : Decimal
        Thinner added, 0 to 200 [% of the volume of finish].

    Raises
    ------
    Unreadable, OutOfRange

    Notes
    -----
    Dry = wet x solids / (1 + thinning), both as fractions.

    References
    ----------
    .. [1] Coatings maker, estimating guide on calculation and conversion (undated, name withheld).

    Examples
    --------
    >>> dry_film_um(wet_um=Decimal(100), solids_pct=Decimal(40), thinning_pct=Decimal(25))  # 100 x 0.4 / 1.25
    Decimal('32.00')
    """
    _check_film("wet_um", wet_um, solids_pct, thinning_pct)
    return places(Fraction(wet_um) * _left(solids_pct, thinning_pct), 2)


def wet_film_um(*, dry_um: Decimal, solids_pct: Decimal, thinning_pct: Decimal = Decimal(0)) -> Decimal:
    """Return the wet film to lay for a dry film [µm], to 0.01; the inverse of `dry_film_um`.

    Parameters
    ----------
    dry_um : Decimal
        Dry film wanted, 1 to 5000 [µm].
    solids_pct, thinning_pct : Decimal
        As for `dry_film_um` [%].

    Raises
    ------
    Unreadable, OutOfRange
    """
    _check_film("dry_um", dry_um, solids_pct, thinning_pct)
    return places(Fraction(dry_um) / _left(solids_pct, thinning_pct), 2)


def wet_film_of_spread_um(*, m2_per_l: Decimal) -> Decimal:
    """Return the wet film at which a litre covers an area [µm], to 0.01.

    Parameters
    ----------
    m2_per_l : Decimal
        Area a litre covers, 0.2 to 1000 [m²/L].
    """
    decimal(m2_per_l, "m2_per_l", least="0.2", most="1000")
    return places(1000 / Fraction(m2_per_l), 2)


def reaching(m2_per_l: Fraction, transfer_pct: Decimal) -> Fraction:
    """Return a spreading rate [m²/L] where so much of the finish reaches the surface [%]."""
    return m2_per_l * Fraction(transfer_pct) / 100


def _left(solids_pct: Decimal, thinning_pct: Decimal) -> Fraction:
    """Return the share of a wet film that stays when it is dry."""
    return Fraction(solids_pct) / 100 / (1 + Fraction(thinning_pct) / 100)


def _check_film(name: str, film_um: Decimal, solids_pct: Decimal, thinning_pct: Decimal) -> None:
    """Refuse a film, solids or thinning outside its range."""
    decimal(film_um, name, least="1", most="5000")
    decimal(solids_pct, "solids_pct", least="1", most="100")
    decimal(thinning_pct, "thinning_pct", least="0", most="200")
