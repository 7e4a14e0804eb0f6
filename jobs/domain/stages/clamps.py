"""Commands on equipment: add, change and retire it; stages take clamps and free them."""

from collections.abc import Mapping, Sequence
from typing import Any

from calcs.glue_up.pressure import CLAMP_KINDS
from calcs.kit.length_reading import parse_length
from calcs.kit.units import inches
from jobs.core.errors import Invalid, WrongState
from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.checks import about, in_range, one_of, title_of
from jobs.domain.pieces.shop_changes import follow_shop
from jobs.domain.stages.preconditions import the_stage
from jobs.domain.waits.waits import append_stage
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import store_private_text
from jobs.models import Equipment, Hold, Stage

Kind = Equipment.Kind
LEAST_REACH, MOST_REACH = inches(1), inches(240)
"""Reach of a clamp [1/8 µm]: what fits a shop, common practice, no source."""
MOST = 500
LONGEST_NAME = 120
CLAMPS = "clamps"
"""The place of stages that may take clamps."""
UNCLAMP = "unclamp"
"""The kind of wait that keeps clamps on; the stage that it holds frees them."""


@command
def add_equipment(
    tx: CommandTransaction,
    *,
    kind: str,
    count: int,
    units: Units,
    reach: str = "",
    clamp_kind: str = "",
    name: str = "",
) -> None:
    """Add a number of clamps of one kind and reach, or of places."""
    one_of(kind, Kind.values, field="kind", shown=40)
    tx.append(
        "equipment_added",
        "equipment",
        {
            "kind": kind,
            "count": _count(count),
            "reach_len": _reach(kind, reach, units),
            **_clamp_kind(kind, clamp_kind),
            "name": store_private_text(name, field="name", longest=LONGEST_NAME, one_line=True),
        },
    )
    follow_shop(now=tx.call.now)


@command
def change_equipment(
    tx: CommandTransaction,
    *,
    equipment: int,
    units: Units,
    count: int | None = None,
    reach: str | None = None,
    clamp_kind: str = "",
    name: str | None = None,
) -> None:
    """Change the count, reach, kind of clamp or name of equipment; fields not given stay."""
    found = _equipment(tx, equipment)
    data: dict[str, Any] = {}
    if count is not None:
        held = sum(h.count for h in found.holds.all())
        if count < held:
            raise _held(found, "count", count, allowed=f"{held} to {MOST}")
        data["count"] = _count(count)
    if reach is not None:
        data["reach_len"] = _reach(found.kind, reach, units)
    data |= _clamp_kind(found.kind, clamp_kind)
    if name is not None:
        data["name"] = store_private_text(name, field="name", longest=LONGEST_NAME, one_line=True)
    if not data:
        raise Invalid(
            "nothing to change", field="equipment", value=equipment, allowed="count, reach, clamp_kind, name"
        )
    tx.append("equipment_changed", f"equipment:{found.id}", {"equipment": found.id, **data})
    follow_shop(now=tx.call.now)


@command
def retire_equipment(tx: CommandTransaction, *, equipment: int) -> None:
    """Retire equipment that nothing holds."""
    found = _equipment(tx, equipment)
    if found.holds.exists():
        raise _held(found, "equipment", equipment, allowed="equipment that nothing holds")
    tx.append("equipment_retired", f"equipment:{found.id}", {"equipment": found.id})
    follow_shop(now=tx.call.now)


@command
def free_clamps(tx: CommandTransaction, *, piece: str, stage: str) -> None:
    """Free the clamps of a stage by hand, before or without its clamps-off stage."""
    found = the_stage(tx, piece, stage)
    if not free(tx, found):
        raise about(found, "holds no clamps", allowed="a stage that holds some")


def wanted(stage: Stage, clamps: Mapping[str, int] | None) -> list[tuple[Equipment, int]]:
    """Return the clamps that a stage asks for at its start, checked against those free.

    Called by other commands.
    """
    if clamps and stage.spec["place"] != CLAMPS:
        raise WrongState(
            f"{title_of(stage)} takes no clamps", field="clamps", value=len(clamps), allowed="glue-up stages"
        )
    return [_wanted(str(key), count) for key, count in (clamps or {}).items() if count != 0]


def take(tx: CommandTransaction, stage: Stage, asked: Sequence[tuple[Equipment, int]]) -> None:
    """Record that a stage takes clamps. Called by other commands."""
    if asked:
        taken = [{"equipment": one.id, "count": count} for one, count in asked]
        append_stage(tx, "equipment_taken", stage, {"taken": taken})


def free(tx: CommandTransaction, stage: Stage) -> bool:
    """Free the clamps that a stage holds; return whether it held any. Called by other commands."""
    if not Hold.objects.filter(stage=stage).exists():
        return False
    append_stage(tx, "equipment_freed", stage, {})
    return True


def free_after(tx: CommandTransaction, finished: Stage) -> None:
    """Free the clamps that this finished or skipped stage releases.

    Clamps come off with the stage that their wait holds, else with the stage that took them.
    """
    for taker in Stage.objects.filter(piece=finished.piece, holds__isnull=False).distinct():
        lets_go = released_by(taker) or [taker.key]
        if finished.key in lets_go:
            taker.piece = finished.piece
            free(tx, taker)


def released_by(taker: Stage) -> list[str]:
    """Return the stages with which the clamps of a glue-up come off."""
    return [key for w in taker.spec["waits"] if w["kind"] == UNCLAMP for key in w["holds"]]


def _wanted(key: str, count: int) -> tuple[Equipment, int]:
    field = f"clamps.{key[:40]}"
    found = Equipment.objects.filter(id=int(key)).first() if _is_key(key) else None
    if found is None or found.kind != Kind.CLAMP or found.retired_at is not None:
        known = Equipment.objects.filter(kind=Kind.CLAMP, retired_at=None).values_list("id", flat=True)
        allowed = ", ".join(str(k) for k in known) or "none are entered"
        raise Invalid("there are no such clamps", field=field, value=key[:40], allowed=allowed)
    left = found.count - sum(h.count for h in found.holds.all())
    if not 0 < count <= left:
        raise _held(found, field, count, allowed=f"0 to {left}")
    return found, count


def _is_key(key: str) -> bool:
    return key.isascii() and key.isdecimal() and len(key) <= 18


def _held(found: Equipment, field: str, value: int, *, allowed: str) -> WrongState:
    """Return a refusal that names the holders of the equipment."""
    holds = list(found.holds.select_related("stage__piece"))
    by = [{"piece": h.stage.piece.number, "stage": h.stage.key, "count": h.count} for h in holds]
    words = "; ".join(f"{h.stage.piece.number} {title_of(h.stage)} holds {h.count}" for h in holds)
    left = found.count - sum(h.count for h in holds)
    return WrongState(
        f"{left} of {found.count} are free" + (f": {words}" if words else ""),
        field=field,
        value=value,
        allowed=allowed,
        extra={"held": by},
    )


def _equipment(tx: CommandTransaction, key: int) -> Equipment:
    found = lookups.equipment(key)
    tx.check_version(found.version, what="this equipment")
    if found.retired_at is not None:
        raise WrongState("it is out of use", field="equipment", value=key, allowed="what is in use")
    return found


def _count(count: int) -> int:
    in_range(count, 1, MOST, "count out of range", field="count")
    return count


def _clamp_kind(kind: str, asked: str) -> dict[str, str]:
    """Return the kind of clamp as the event holds it; nothing where none is named."""
    if not asked:
        return {}
    if kind != Kind.CLAMP:
        raise Invalid("a place is no clamp", field="clamp_kind", value=asked[:40], allowed="nothing")
    one_of(asked, CLAMP_KINDS, field="clamp_kind", shown=40)
    return {"clamp_kind": asked}


def _reach(kind: str, text: str, units: Units) -> int | None:
    if kind == Kind.CLAMP:
        return parse_length(
            str(text), unit=units.length, field="reach", least=LEAST_REACH, most=MOST_REACH
        ).units
    if str(text).strip():
        raise Invalid("a place has no reach", field="reach", value=str(text)[:40], allowed="nothing")
    return None
