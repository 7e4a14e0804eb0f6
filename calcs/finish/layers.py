"""Compatibility of a finish with what is there: layer beneath, species, tools.

The rules are a table of pairs, most of them common practice. A pair that is not in it is unknown, not
allowed.
"""

from __future__ import annotations

from dataclasses import dataclass

from calcs.kit.amounts import format_duration, whole_minutes
from calcs.materials.product_sheets import Finish
from calcs.materials.species import species
from calcs.tables import cite, rows

UNKNOWN, OILY = "unknown", "oily"


@dataclass(frozen=True, kw_only=True)
class Layering:
    """Verdict on a finish over what is there.

    Attributes
    ----------
    ok : bool
        False where it may not go on, or not yet.
    verdict : str
        "yes", "cured", "sealer", "no", "bare wood" or "unknown".
    warnings, notes, source : tuple of str
        Why not, what the wood does, tools, and the sources.
    """

    ok: bool
    verdict: str
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def layering(
    *, over: Finish, under: Finish | None = None, under_age_s: int | None = None, wood: str | None = None
) -> Layering:
    """Return the verdict on a finish over another, and over a species, from ``tables/compatibility.csv``.

    Parameters
    ----------
    over : Finish
        Finish that goes on.
    under : Finish, optional
        Finish that is there; bare wood by default.
    under_age_s : int, optional
        Time since the last coat of it [s].
    wood : str, optional
        Species by name or shop name.

    Raises
    ------
    Unknown
        For a species that is not in the tables.

    Notes
    -----
    A pair that is not in the table is "unknown", not allowed: try it on a sample. A layer that must be
    cured through counts as such from the full cure of its sheet, at the sheet's own temperature.
    """
    verdict, says, source = _verdict(over, under)
    why = _refusal(verdict, says, under, under_age_s)
    of = species(wood) if wood is not None else None
    slow = _matching("species", over.family, OILY if of.oily else of.name) if of else None
    tool = _matching("tool", over.family, "") if over.water_borne else None
    notes = [says] if says and not why else []
    return Layering(
        ok=not why,
        verdict=verdict,
        warnings=tuple([*([why] if why else []), *([f"{of.name}: {slow['says']}"] if of and slow else [])]),
        notes=tuple([*notes, *([tool["says"]] if tool else [])]),
        source=tuple(dict.fromkeys([source, *(_told(row) for row in (slow, tool) if row)])),
    )


def _verdict(over: Finish, under: Finish | None) -> tuple[str, str, str]:
    """Return the verdict on a pair, its words and its source."""
    practice = cite("", "practice")
    if under is None:
        return "bare wood", "", practice
    row = _matching("layer", over.family, under.family)
    if row is not None:
        return row["verdict"], row["says"], _told(row)
    if over.family == under.family:
        return "yes", "over itself, inside its recoat window or abraded", practice
    return UNKNOWN, f"nothing is known here of {over.name} over {under.name}: try it on a sample", practice


def _refusal(verdict: str, says: str, under: Finish | None, age_s: int | None) -> str:
    """Return the reason why a finish may not go on, or not yet; empty where it may."""
    if under is None or verdict == "yes":
        return ""
    if verdict != "cured":
        return says
    full = format_duration(under.full_s)
    if age_s is None:
        return f"{says}; full cure of {under.name} takes {full}, and its age is not known: enter it"
    if age_s < under.full_s:
        return f"{says}; {under.name} is {format_duration(whole_minutes(age_s, later=False))} old of {full}"
    return ""


def _matching(kind: str, over: str, under: str) -> dict[str, str] | None:
    """Return the row of a kind for a pair of families; None where there is none."""
    for row in rows("compatibility"):
        if row["kind"] == kind and over in row["over"].split(";") and under in row["under"].split(";"):
            return row
    return None


def _told(row: dict[str, str]) -> str:
    """Return the source of a row with its provenance."""
    return cite(row["source"], row["provenance"])
