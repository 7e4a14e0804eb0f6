"""Consequences of a finished stage: its waits start and passive stages begin.

Shared by the commands on stages and on waits.
"""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from calcs.curing.curing import CoatOn, GlueUp, coat_times, glue_times
from jobs.core.errors import WrongState
from jobs.domain.climate.clocked_wait import CLOCK_FIELDS
from jobs.domain.climate.wait_estimates import WaitEstimator
from jobs.domain.pieces.inputs import products_for
from jobs.domain.settings import settings
from jobs.domain.stock.product_sheets import Product
from jobs.domain.waits.route import RouteState, times_of
from jobs.log.commands import CommandTransaction
from jobs.log.private_texts import store_private_text
from jobs.models import Piece, Stage, Wait


def append_stage(tx: CommandTransaction, kind: str, stage: Stage, data: dict[str, Any]) -> None:
    """Append an event about a stage to its commission."""
    piece = stage.piece
    tx.append(
        kind, f"commission:{piece.commission.number}", {"piece": piece.number, "stage": stage.key, **data}
    )


def start_passive_stages(tx: CommandTransaction, piece: Piece) -> None:
    """Start each passive stage that is open and that no wait holds."""
    while True:
        route = RouteState(piece)
        due = [s for s in route.stages if s.spec["passive"] and route.open_to(s) and not route.holding(s)]
        if not due:
            return
        append_stage(tx, "stage_started", due[0], {"measured": {}, "overrides": {}, "auto": True})
        if not start_waits(tx, route, due[0]):
            append_stage(
                tx,
                "stage_finished",
                due[0],
                {
                    "minutes": 0,
                    "measured": {},
                    "overrides": {},
                    "remark": None,
                },
            )


def start_waits(tx: CommandTransaction, route: RouteState, stage: Stage) -> bool:
    """Start the waits of a stage; return whether any began."""
    started = False
    for spec in stage.spec["waits"]:
        if not spec["holds"]:
            continue
        since_stage = route.by_key.get(spec["since"], stage)
        since = since_stage.finished_at if since_stage.key != stage.key else tx.call.at
        times = times_for(route, since_stage, spec)
        if times is None:
            continue
        append_stage(
            tx,
            "wait_started",
            stage,
            {
                "kind": spec["kind"],
                "title": spec["title"],
                "holds": spec["holds"],
                "since": since or tx.call.at,
                **times,
            },
        )
        started = True
    return started


def recalculate_wait(tx: CommandTransaction, route: RouteState, wait: Wait) -> None:
    """Recalculate a running wait from what its stages and its product sheets say now."""
    spec = next((w for w in wait.stage.spec["waits"] if w["kind"] == wait.kind), None)
    if spec is None:
        return
    times = times_for(route, route.by_key.get(spec["since"], wait.stage), spec)
    if times is not None and any(getattr(wait, name) != value for name, value in times.items()):
        append_stage(tx, "wait_changed", wait.stage, {"wait": wait.id, **times})


def end_wait(tx: CommandTransaction, wait: Wait, *, reason: str = "") -> None:
    """End a running wait; its event keeps the ready time last told and the air it went through."""
    append_stage(
        tx,
        "wait_finished",
        wait.stage,
        {
            "wait": wait.id,
            "reason": store_private_text(reason, field="reason"),
            "ready_at_told": times_of(wait)[0],
            "air": WaitEstimator([wait]).exposure_record(wait, tx.call.at),
        },
    )


def times_for(route: RouteState, since_stage: Stage, spec: dict[str, Any]) -> dict[str, Any] | None:
    """Return the seconds to ready and to closing with their basis; None where the sheet has no such time."""
    if not spec["clock"]:
        return {
            "ready_s": spec["duration_s"],
            "closes_s": spec["latest_s"],
            "suspect": False,
            "reason": "",
            "basis": {"source": [spec["source"]]},
        }
    products = products_for(spec["clock"].split(".")[0], route.piece.inputs)
    if not products:
        says, field = f"{spec['title']} needs a product", spec["clock"].split(".")[0]
        raise WrongState(says, field=field, value="", allowed="choose one on the piece")
    temp_c, rh_pct = _air(since_stage)
    return _slowest([t for p in products if (t := _clocked(spec["clock"], p, temp_c, rh_pct))])


def _slowest(times: list[dict[str, Any]]) -> dict[str, Any] | None:
    """Combine the products of two sides: the slower ready time, the earlier closing, suspect with either."""
    if not times:
        return None
    worst = max(times, key=lambda t: (t["suspect"], t["ready_s"] or 0))
    closing: Iterable[int] = [t["closes_s"] for t in times if t["closes_s"] is not None]
    return {**worst, "closes_s": min(closing, default=None)}


def _clocked(clock: str, product: Product, temp_c: Decimal, rh_pct: Decimal) -> dict[str, Any] | None:
    ready, closes = CLOCK_FIELDS[clock]
    times: Any
    if product.glue is not None:
        times = glue_times(GlueUp(glue=product.glue, temp_c=temp_c))
        suspect, reason = times.suspect or times.paused, times.reason
    else:
        assert product.finish is not None
        times = coat_times(CoatOn(finish=product.finish, temp_c=temp_c, rh_pct=rh_pct, allow=True))
        suspect, reason = False, "; ".join(times.warnings)
    ready_s = getattr(times, ready)
    if ready_s is None and not suspect:
        return None
    basis = {
        "product": product.key,
        "sheet_version": product.version,
        "temp_c": temp_c,
        "rh_pct": rh_pct,
        "source": [s for s in times.source if s.split(":")[0] not in _other_steps(ready, closes)],
    }
    return {
        "ready_s": ready_s,
        "closes_s": getattr(times, closes) if closes else None,
        "suspect": suspect,
        "reason": reason,
        "basis": basis,
    }


def _other_steps(*mine: str | None) -> set[str]:
    steps = {step for pair in CLOCK_FIELDS.values() for step in pair if step} | {"light_use_s"}
    return steps - set(mine)


def _air(stage: Stage) -> tuple[Decimal, Decimal]:
    """Return the temperature and humidity measured at a stage, else the shop's usual ones."""
    usual, measured = settings(), stage.measured
    temp = measured.get("shop_temperature", {}).get("c", usual["shop_c"])
    humidity = measured.get("humidity", {}).get("pct", usual["shop_rh_pct"])
    return Decimal(temp), Decimal(humidity)
