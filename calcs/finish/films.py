"""Wet and dry film, and the area that a litre covers."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from calcs.kit.rounding import places
from calcs.kit.validators import decimal

# NIST SP 811, 2008, appendix B.8: 1 gal (US) = 3.785411784 L, 1 ft2 = 0.09290304 m2.
FT2_GAL_PER_M2_L = Fraction("3.785411784") / Fraction("0.09290304")
UM_PER_MIL = Decimal("25.4")


def dry_film_um(*, wet_um: Decimal, solids_pct: Decimal, thinning_pct: Decimal = Decimal(0)) -> Decimal:
    """Dry film a wet film leaves [µm], to 0.01.

    Parameters
    ----------
    wet_um : Decimal
        Wet film [µm].
    solids_pct : Decimal
        Solids by volume, not by weight [%].
    thinning_pct : Decimal
        Thinner added, of the volume of finish [%].

    References
    ----------
    .. [1] Coatings maker, estimating guide on calculation and conversion (undated, name withheld).
    """
    _check_film("wet_um", wet_um, solids_pct, thinning_pct)
    return places(Fraction(wet_um) * _left(solids_pct, thinning_pct), 2)


def wet_film_um(*, dry_um: Decimal, solids_pct: Decimal, thinning_pct: Decimal = Decimal(0)) -> Decimal:
    """Wet film to lay for a dry film [µm], to 0.01; the inverse of `dry_film_um`."""
    _check_film("dry_um", dry_um, solids_pct, thinning_pct)
    return places(Fraction(dry_um) / _left(solids_pct, thinning_pct), 2)


def spread_m2_per_l(*, wet_um: Decimal, transfer_pct: Decimal = Decimal(100)) -> Decimal:
    """Area a litre covers at a wet film [m²/L], to 0.001.

    Parameters
    ----------
    wet_um : Decimal
        Wet film [µm].
    transfer_pct : Decimal
        What reaches the surface [%].

    Notes
    -----
    Oils and first coats soak in: use the label's coverage for them, not film arithmetic.
    """
    decimal(wet_um, "wet_um", least="1", most="5000")
    decimal(transfer_pct, "transfer_pct", least="1", most="100")
    return places(reaching(1000 / Fraction(wet_um), transfer_pct), 3)


def wet_film_of_spread_um(*, m2_per_l: Decimal) -> Decimal:
    """Wet film at which a litre covers an area ``m2_per_l`` [m²/L], in µm to 0.01."""
    decimal(m2_per_l, "m2_per_l", least="0.2", most="1000")
    return places(1000 / Fraction(m2_per_l), 2)


def ft2_per_gal(m2_per_l: Decimal) -> Decimal:
    """A spreading rate ``m2_per_l`` [m²/L] in ft² per US gallon, to 0.01."""
    return places(Fraction(m2_per_l) * FT2_GAL_PER_M2_L, 2)


def reaching(m2_per_l: Fraction, transfer_pct: Decimal) -> Fraction:
    """A spreading rate [m²/L] where so much of the finish reaches the surface [%]."""
    return m2_per_l * Fraction(transfer_pct) / 100


def _left(solids_pct: Decimal, thinning_pct: Decimal) -> Fraction:
    return Fraction(solids_pct) / 100 / (1 + Fraction(thinning_pct) / 100)


def _check_film(name: str, film_um: Decimal, solids_pct: Decimal, thinning_pct: Decimal) -> None:
    decimal(film_um, name, least="1", most="5000")
    decimal(solids_pct, "solids_pct", least="1", most="100")
    decimal(thinning_pct, "thinning_pct", least="0", most="200")
