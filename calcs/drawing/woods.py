"""Looks of wood: colours, rings and pores of a dozen kinds, and which species has which.

Colours and spacing are common practice, no source: a drawing tells woods apart and measures nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

from calcs.materials.own_woods import FIGURES_FOLLOW

SCATTERED, IN_RINGS, FLECKS, NONE = "scattered", "in rings", "flecks", "none"
ANY_WOOD = "any-wood"


@dataclass(frozen=True, kw_only=True)
class Look:
    """Colours of a wood, and how its rings and pores show.

    Attributes
    ----------
    ground, late, pore : str
        Colours of the wood, of its latewood and of its pores.
    near, far : float
        Least and most from ring to ring, on a log of usual growth [in].
    shows : float
        How strongly the latewood stands out, of 1.
    pores : {"scattered", "in rings", "flecks", "none"}
        How the pores lie.
    """

    ground: str
    late: str
    pore: str
    near: float
    far: float
    shows: float
    pores: str


LOOKS: dict[str, Look] = {
    name: Look(ground=ground, late=late, pore=pore, near=near, far=far, shows=shows, pores=pores)
    for name, ground, late, pore, near, far, shows, pores in (
        ("walnut", "#7f573b", "#38200f", "#1f1008", 0.22, 0.52, 0.54, SCATTERED),
        ("white-oak", "#cfb188", "#93693c", "#664420", 0.17, 0.36, 0.42, IN_RINGS),
        ("red-oak", "#d6ab84", "#9c6238", "#6d3f20", 0.18, 0.40, 0.46, IN_RINGS),
        ("ash", "#e7d5b6", "#b08655", "#84602f", 0.20, 0.50, 0.52, IN_RINGS),
        ("cherry", "#b47b56", "#7c4129", "#5c2a17", 0.20, 0.44, 0.38, FLECKS),
        ("maple", "#ead7b4", "#c29f6e", "#a98455", 0.18, 0.36, 0.30, FLECKS),
        ("beech", "#dcb893", "#b07f55", "#8a5a34", 0.20, 0.40, 0.30, FLECKS),
        ("pine", "#ecd29c", "#c08a45", "#a87434", 0.16, 0.42, 0.56, NONE),
        ("redwood", "#b77a58", "#7a4028", "#6a3420", 0.12, 0.26, 0.52, NONE),
        ("mahogany", "#a3603f", "#6d3520", "#4c2110", 0.26, 0.60, 0.26, SCATTERED),
        ("teak", "#b58b55", "#7a5427", "#553615", 0.20, 0.42, 0.46, IN_RINGS),
        (ANY_WOOD, "#c7ad8c", "#8f7354", "#705437", 0.20, 0.44, 0.34, FLECKS),
    )
}
"""A dozen looks by their names, which style sheets use too."""

_WORDS: dict[str, str] = {
    "walnut": "walnut butternut dark brown black wenge",
    "white-oak": "white-oak live-oak locust chestnut",
    "red-oak": "oak tanoak elm hickory",
    "ash": "ash hackberry sassafras",
    "cherry": "cherry apple madrone alder pear",
    "maple": "maple birch aspen basswood cottonwood poplar magnolia tupelo pale white",
    "beech": "beech sweet-birch sweetgum sycamore",
    "pine": "pine fir spruce hemlock baldcypress cedar larch yellow golden softwood",
    "redwood": "redwood redcedar",
    "mahogany": "mahogany sapele spanish-cedar red",
    "teak": "teak iroko",
}
"""Words of names by the look that they mean; of two words in a name the longer counts, then the earlier."""
_LOOK_OF = dict(
    sorted(
        ((word.replace("-", " "), look) for look, words in _WORDS.items() for word in words.split()),
        key=lambda each: -len(each[0]),
    )
)


def look_of(species: str | None) -> str:
    """Return the name of the look of a species, or of a wood outside the tables by the words of its name.

    A wood whose name tells nothing, or none, gets a look between all.

    Examples
    --------
    >>> look_of("white oak (commercial)"), look_of("pale bog wood (not in the table)"), look_of(None)
    ('white-oak', 'maple', 'any-wood')
    """
    name = (species or "").split(FIGURES_FOLLOW)[0].casefold().replace("-", " ")
    words = f" {' '.join(name.split())} "
    return next((look for word, look in _LOOK_OF.items() if f" {word} " in words), ANY_WOOD)
