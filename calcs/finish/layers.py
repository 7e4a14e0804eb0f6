"""Whether a finish may go over what is there: layer beneath, species, tools."""

from __future__ import annotations

from dataclasses import dataclass

from calcs.kit.amounts import format_duration, whole_minutes
from calcs.materials.product_sheets import Finish
from calcs.materials.species import species
from calcs.tables import cite, rows

UNKNOWN = "unknown"


@dataclass(frozen=True, kw_only=True)
class Layering:
    """Whether a finish may go on; ``verdict`` "yes", "cured", "sealer", "no", "bare wood" or "unknown".

    ``ok`` is false where it may not, or not yet. ``warnings`` say why, and what the wood does.
    """

    ok: bool
    verdict: str
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def layering(
    *, over: Finish, under: Finish | None = None, under_age_s: int | None = None, wood: str | None = None
) -> Layering:
    """Whether a finish goes over another, and over a species, from ``tables/compatibility.csv``.

    Parameters
    ----------
    over : Finish
        What goes on.
    under : Finish, optional
        What is there; bare wood unless told.
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
    slow = _matching("species", over.family, species(wood).name) if wood is not None else None
    tool = _matching("tool", over.family, "") if over.water_borne else None
    notes = [says] if says and not why else []
    return Layering(
        ok=not why,
        verdict=verdict,
        warnings=tuple([*([why] if why else []), *([f"{wood}: {slow['says']}"] if slow else [])]),
        notes=tuple([*notes, *([tool["says"]] if tool else [])]),
        source=tuple(dict.fromkeys([source, *(_told(row) for row in (slow, tool) if row)])),
    )


def _verdict(over: Finish, under: Finish | None) -> tuple[str, str, str]:
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
    if under is None or verdict == "yes":
        return ""
    if verdict != "cured":
        return says
    full = format_duration(under.full_s)
    if age_s is None:
        return f"{says}; full cure of {under.name} takes {full}, and its age is not told"
    if age_s < under.full_s:
        return f"{says}; {under.name} is {format_duration(whole_minutes(age_s, later=False))} old of {full}"
    return ""


def _matching(kind: str, over: str, under: str) -> dict[str, str] | None:
    for row in rows("compatibility"):
        if row["kind"] == kind and over in row["over"].split(";") and under in row["under"].split(";"):
            return row
    return None


def _told(row: dict[str, str]) -> str:
    return cite(row["source"], row["provenance"])
