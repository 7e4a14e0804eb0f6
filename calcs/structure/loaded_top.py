"""Top with its supports and its loads, as asked about its sag."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Annotated

from calcs.asking.field_types import Choice, Length, Many, Number, Wood, Yes
from calcs.asking.inputs import Rows, check
from calcs.kit.errors import OutOfRange
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches, to_metres
from calcs.wood.density import density_kg_m3
from calcs.wood.stiffness import stiffness

CREEP = {"heated room": Decimal("0.6"), "under a roof": Decimal("0.8")}
KILOGRAMS = ("0", "5000")
_AS_BUILT = Decimal(8)


@dataclass(frozen=True, kw_only=True)
class PointLoad:
    """Load on one line across the top.

    Parameters
    ----------
    load_kg : Decimal
        Mass [kg].
    at_len : int
        Distance from the left end [1/8 µm].
    stays : bool
        True where it stays for good.

    Raises
    ------
    Unreadable, OutOfRange
    """

    load_kg: Annotated[Decimal, Number("load", "0.001", KILOGRAMS[1], "kg")]
    at_len: Annotated[int, Length("distance from the left end", 0, inches(480))]
    stays: Annotated[bool, Yes("stays for good")] = False

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class LoadedTop:
    """Top, its supports and its loads.

    Parameters
    ----------
    length_len, width_len, thickness_len : int
        Finished size, grain along the length [1/8 µm].
    supports_len : tuple of int
        Lines of support across the whole width, from the left end, rising [1/8 µm].
    species : str, optional
        For stiffness and weight.
    stiffness_mpa : Decimal, optional
        Your own modulus of elasticity [MPa], taken as it is; the own weight then needs the species, or is
        left out.
    load_kg : Decimal
        Load spread evenly over the whole top [kg].
    load_stays : bool
        True where the spread load stays for good.
    points : tuple of PointLoad
        Loads on one line.
    own_weight : bool
        True counts the top's weight; it needs the species.
    held : {"resting", "clamped"}
        Clamped holds the slope at the outermost supports; slotted fixings do not.
    climate : {"heated room", "under a roof"}
        Sets the creep of lasting loads.
    shear : bool
        True counts the shear of a short thick top.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    length_len: Annotated[int, Length("finished length", inches(1), inches(480))]
    width_len: Annotated[int, Length("finished width", inches(1), inches(240))]
    thickness_len: Annotated[int, Length("finished thickness", inches("1/8"), inches(12))]
    supports_len: Annotated[
        tuple[int, ...], Many("supports from the left end", Length("support", 0, inches(480)), 1, 20)
    ]
    species: Annotated[str | None, Wood("species")] = None
    stiffness_mpa: Annotated[Decimal | None, Number("own modulus of elasticity", "500", "250000", "MPa")] = (
        None
    )
    load_kg: Annotated[Decimal, Number("load spread over the top", *KILOGRAMS, "kg")] = Decimal(0)
    load_stays: Annotated[bool, Yes("the spread load stays for good")] = True
    points: Annotated[tuple[PointLoad, ...], Rows("loads on one line", PointLoad, 0, 20)] = ()
    own_weight: Annotated[bool, Yes("own weight counts")] = True
    held: Annotated[str, Choice("how the ends are held", ("resting", "clamped"))] = "resting"
    climate: Annotated[str, Choice("where it stands", tuple(CREEP))] = "heated room"
    shear: Annotated[bool, Yes("shear counts")] = True

    def __post_init__(self) -> None:
        check(self)
        _check_supports(self)
        for point in self.points:
            _inside("points", point.at_len, self.length_len)
        _check_wood(self)

    def spread_kg(self, share: Decimal) -> float:
        """Return the load on the whole top, with ``share`` more of what stays [kg]."""
        stays = (1 + share) * self._own_kg()
        return float(stays + self.load_kg * (1 + share if self.load_stays else 1))

    def lines_kg(self, share: Decimal) -> tuple[tuple[int, float], ...]:
        """Return the loads on one line, place [1/8 µm] and mass [kg], with ``share`` more of what stays."""
        return tuple((p.at_len, float(p.load_kg * (1 + share if p.stays else 1))) for p in self.points)

    def _own_kg(self) -> Decimal:
        """Return the weight of the top at 8 % moisture [kg]; 0 where it is not counted."""
        if not self.own_weight or self.species is None:
            return Decimal(0)
        volume = to_metres(self.length_len) * to_metres(self.width_len) * to_metres(self.thickness_len)
        return Decimal(float(density_kg_m3(self.species, _AS_BUILT)) * volume)


def _check_supports(top: LoadedTop) -> None:
    """Refuse supports past the end or out of order, and one support that does not clamp."""
    for place in top.supports_len:
        _inside("supports", place, top.length_len)
    if any(b <= a for a, b in pairwise(top.supports_len)):
        told = ", ".join(both_units(place) for place in top.supports_len)
        raise _wrong(
            "supports", told, f"{told} do not rise from the left", "each further right than the one before"
        )
    if len(top.supports_len) == 1 and top.held == "resting":
        raise _wrong("supports", 1, "alone holds a top only if clamped", "two or more, or held clamped")


def _inside(field: str, place: int, length: int) -> None:
    """Refuse a place past the length of the top."""
    if place > length:
        raise out_of_range(field, both_units(place), f"at most the length, {both_units(length)}")


def _check_wood(top: LoadedTop) -> None:
    """Refuse a top without the stiffness or the weight that it needs."""
    if top.species is None:
        if top.stiffness_mpa is None:
            raise _wrong(
                "species", None, "is needed where no stiffness is given", "a species, or a stiffness"
            )
        if top.own_weight:
            raise _wrong("own_weight", "yes", "needs the species", "no, or name the species")
        return
    if top.stiffness_mpa is None:
        stiffness(top.species)
    if top.own_weight:
        density_kg_m3(top.species, _AS_BUILT)


def _wrong(field: str, value: object, why: str, allowed: str) -> OutOfRange:
    """Return the refusal of an input of a loaded top."""
    return OutOfRange(f"{field} {why}", field=field, value=value, allowed=allowed)
