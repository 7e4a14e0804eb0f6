"""The figures of a job sheet, each calculation's in its own class, so that a wrong name fails in mypy."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, get_args, get_type_hints

from calcs.curing.curing import CoatTimes, GlueTimes
from calcs.finish.finishing import Coats
from calcs.finish.sanding import Sanding
from calcs.glue_up.clamping import ClampPlan
from calcs.glue_up.gluing import Gluing
from calcs.handling.flips import Flips
from calcs.handling.lift_top import TopLifting
from calcs.joints.joinery import Joinery
from calcs.lumber.layout import Layout
from calcs.lumber.lumber import LumberNeed
from calcs.structure.attachment import Attachment
from calcs.structure.breadboard import Breadboard
from calcs.structure.stiffening import Stiffening
from calcs.wood.weight import Weight
from jobs.core.typed_json import known_members
from jobs.domain.commissions.job_sheet import NOT_FIGURED
from jobs.domain.pieces.surfaces import CoatPlan

Sheet = Mapping[str, Any]
WITHIN = {"coat_times": "coats", "coat_plan": "coats"}
"""Results that are stored together with another."""


@dataclass(frozen=True, kw_only=True)
class Results:
    """What was figured for a piece, by its place on the sheet; None where there are no figures."""

    lumber: LumberNeed | None
    rip_list: Layout | None
    slots: Joinery | None
    glue: Gluing | None
    glue_times: GlueTimes | None
    clamps: ClampPlan | None
    stiffeners: Stiffening | None
    breadboard: Breadboard | None
    sanding: Sanding | None
    coats: Coats | None
    coat_times: CoatTimes | None
    coat_plan: CoatPlan | None
    weight: Weight | None
    lifting: TopLifting | None
    fixings: Attachment | None
    turns: Flips | None

    @classmethod
    def of(cls, sheet: Sheet) -> "Results":
        """Return the results of a frozen sheet; one that was frozen before a calculation came lacks it."""
        forms = {name: get_args(form)[0] for name, form in get_type_hints(cls).items()}
        return cls(**{f.name: _read(forms[f.name], sheet, f.name) for f in fields(cls)})


def why_not(sheet: Sheet, name: str) -> str:
    """Return why a calculation that was asked for gave no figures; else an empty text."""
    why = str((sheet.get(name) or {}).get("why", ""))
    return "" if why == NOT_FIGURED else why


def notes_of(sheet: Sheet, name: str) -> list[str]:
    return list((sheet.get(name) or {}).get("notes", []))


def _read(form: type[Any], sheet: Sheet, name: str) -> Any:
    figures = (sheet.get(WITHIN.get(name, name)) or {}).get("figures")
    return None if figures is None else known_members(form, figures)
