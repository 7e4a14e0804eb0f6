"""A glue-up of this day: calculated in the air that is measured, its joints judged as they were closed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import Decimal
from itertools import pairwise
from typing import Any, NoReturn

from calcs.curing.series import STEP_S
from calcs.kit.amounts import both_temperatures, format_duration
from calcs.kit.errors import CalcError
from calcs.lumber.layout import MOST_STRIPS
from jobs.core.canonical_json import plain, read_time
from jobs.core.errors import Invalid
from jobs.domain.checks import clock
from jobs.domain.climate.air_history import means, step_of
from jobs.domain.pieces.context import subject_of
from jobs.domain.pieces.joints import glue_lines
from jobs.domain.settings import settings
from jobs.domain.waits.route import RouteState
from jobs.domain.waits.waits import append_stage
from jobs.log.commands import CommandTransaction
from jobs.models import Stage

LONGEST_JOINT = 20
REOPEN = "Open it and spread it again while the glue is wet. Once it has set, test it or rip the joint"
"""What to do about a joint that was closed too late. Common practice, no source."""
FRESH = timedelta(hours=2)
"""Greatest age of a measurement that stands for the air of now. Common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class GlueToday:
    """Figures of a glue-up as stored for its calculation, and the measured air in words; empty without."""

    result: dict[str, Any]
    air: str = ""


def glue_planned(route: RouteState) -> GlueToday:
    """Return the glue-up of a piece as it was calculated last."""
    return GlueToday(result=route.piece.computed.get("gluing", {}).get("result") or {})


def glue_today(route: RouteState, *, at: datetime) -> GlueToday:
    """Return the glue-up of a piece in the shop's air at this time; as stored where nobody measures it."""
    stored = glue_planned(route)
    last = step_of(at)
    first = last - int(FRESH.total_seconds()) // STEP_S
    measured = means(settings()["places"][0], first=first, last=last) if stored.result else {}
    if not measured:
        return stored
    temp_c, rh_pct = (Decimal(str(round(each, 1))) for each in measured[max(measured)])
    subject = subject_of(route.piece.inputs, route.piece)
    shop = {**subject.shop, "shop_c": str(temp_c), "shop_rh_pct": str(rh_pct)}
    try:
        made = glue_lines(replace(subject, shop=shop))
    except CalcError:
        return stored
    air = f"{both_temperatures(temp_c)}, {round(rh_pct)} % relative humidity"
    return GlueToday(result=plain(made["result"], field="gluing"), air=air)


def record_closings(
    tx: CommandTransaction, stage: Stage, *, glue_on: datetime | None, joints: Sequence[Mapping[str, Any]]
) -> None:
    """Record when the joints of a glue-up were closed, and tell of each that was closed too late.

    ``joints`` hold ``joint``, the strips that meet in it, and ``at``. The open time is that of the air when
    the first glue was on, so a finish that is sent late is judged alike.
    """
    if glue_on is None:
        if joints:
            _refuse("joints", len(joints), "none without the time of the first glue")
        return
    _check(tx, glue_on, joints)
    open_s = glue_today(RouteState(stage.piece), at=glue_on).result.get("open_s")
    closed = [{"joint": one["joint"], "at": one["at"]} for one in joints]
    append_stage(tx, "joints_closed", stage, {"glue_on": glue_on, "open_s": open_s, "joints": closed})
    seen = _judged(glue_on, open_s, [(one["joint"], one["at"]) for one in joints])
    tx.notices.extend(
        f"{one['joint']} was closed {format_duration(one['late_s'])} past the open time. {REOPEN}"
        for one in seen
        if one["late_s"]
    )


def _check(tx: CommandTransaction, glue_on: datetime, joints: Sequence[Mapping[str, Any]]) -> None:
    """Refuse times out of order, and joints without a name of their own."""
    if glue_on > tx.call.at:
        _refuse("glue_on", clock(glue_on), f"up to the finish at {clock(tx.call.at)}")
    if len(joints) >= MOST_STRIPS:
        _refuse("joints", len(joints), f"fewer than {MOST_STRIPS}")
    names = [one["joint"] for one in joints]
    for name in names:
        if not (
            name.strip() and name.isprintable() and len(name) <= LONGEST_JOINT and names.count(name) == 1
        ):
            _refuse("joints", name[:LONGEST_JOINT], f"names of up to {LONGEST_JOINT} characters, each once")
    for before, at in pairwise([glue_on, *(one["at"] for one in joints), tx.call.at]):
        if at < before:
            _refuse(
                "joints", clock(before), f"in order from the first glue to the finish at {clock(tx.call.at)}"
            )


def _refuse(field: str, value: object, allowed: str) -> NoReturn:
    raise Invalid("these closings do not fit", field=field, value=value, allowed=allowed)


def closings_of(closings: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return the closings that a stage keeps: each joint, the seconds it took, and how late it was.

    None where nobody tapped them.
    """
    if not closings:
        return None
    glue_on, open_s = read_time(closings["glue_on"]), closings["open_s"]
    joints = [(one["joint"], read_time(one["at"])) for one in closings["joints"]]
    return {"glue_on": glue_on, "open_s": open_s, "joints": _judged(glue_on, open_s, joints)}


def _judged(
    glue_on: datetime, open_s: int | None, joints: Sequence[tuple[str, datetime]]
) -> list[dict[str, Any]]:
    spent = [round((at - glue_on).total_seconds()) for _, at in joints]
    return [
        {
            "joint": joint,
            "at": at,
            "after_s": after_s,
            "late_s": max(0, after_s - open_s) if open_s is not None else 0,
            "to_do": REOPEN if open_s is not None and after_s > open_s else "",
        }
        for (joint, at), after_s in zip(joints, spent, strict=True)
    ]
