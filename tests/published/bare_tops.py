"""Tops as worked examples of beams have them: bending alone under the load that is given."""

from fractions import Fraction

from calcs.kit.rounding import places
from calcs.structure.loaded_top import LoadedTop
from calcs.wood.stiffness import MPA_PER_PSI

LB = Fraction("0.45359237")  # NIST SP 811 (2008), appendix B.8
G = Fraction("9.80665")


def kg(pounds):
    return places(Fraction(pounds) * LB, 9)


def newtons(force, g=G):
    return places(Fraction(force) / g, 9)


def mpsi(value):
    return places(Fraction(value) * 1_000_000 * MPA_PER_PSI, 6)


def bare(length, width, thick, **asked):
    """A top with a given stiffness, bending alone and nothing but the load."""
    ends = (0,) if asked.get("held") == "clamped" else (0, length)
    sizes = {"length_len": length, "width_len": width, "thickness_len": thick}
    return LoadedTop(**{**sizes, "supports_len": ends, "own_weight": False, "shear": False, **asked})
