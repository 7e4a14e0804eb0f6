"""Close a commission that is delivered, paid and has nothing left to do; reopen it."""

from collections.abc import Iterable
from typing import Any

from jobs.domain import lookups
from jobs.domain.checks import about, the_reason
from jobs.domain.gate_rules import gate_rules
from jobs.domain.lifecycle import STEPS, Step, move
from jobs.domain.waits.route import OVER, RouteState, asks_money
from jobs.domain.waits.waits import append_stage
from jobs.log.commands import CommandTransaction, command
from jobs.models import Commission, Stage

PAID_UP = "paid-up"


def close_if_settled(tx: CommandTransaction, commission: Commission) -> None:
    """Close a delivered commission once its money is settled and no work is left. Called by other commands.

    The stages that wait for money, and those that close it, end by themselves.
    """
    if commission.step != Step.DELIVERED:
        return
    routes = _routes(commission)
    left = [s for r in routes for s in r.stages if s.step not in OVER and not s.spec["passive"]]
    if not all(asks_money(s) or _closes(s) for s in left) or not _is_settled(commission, routes):
        return
    for stage in left:
        if stage.step == Stage.Step.PLANNED:
            append_stage(tx, "stage_started", stage, {"measured": {}, "overrides": {}, "auto": True})
        finished: dict[str, Any] = {"minutes": None, "measured": {}, "overrides": {}, "remark": None}
        append_stage(tx, "stage_finished", stage, finished)
    move(tx, commission, Step.CLOSED)


def _is_settled(commission: Commission, routes: Iterable[RouteState]) -> bool:
    """Return whether every stage that waits for money has ended, or nothing is owed."""
    asking = [s for r in routes for s in r.stages if asks_money(s)]
    if asking and all(s.step in OVER for s in asking):
        return True
    return not gate_rules()[PAID_UP](commission)


@command
def reopen_commission(tx: CommandTransaction, *, commission: str, reason: str) -> None:
    """Reopen a closed commission: it is delivered again, and is closed by hand or by the next payment."""
    tx.require_owner("reopening a commission")
    found = lookups.commission(commission)
    tx.check_version(found.version, what=f"commission {found.number}")
    if found.step != Step.CLOSED:
        raise about(found, f"is {found.step}", allowed="a closed commission")
    the_reason(reason, what="reopening")
    reopen(tx, found, reason=reason)


def reopen(tx: CommandTransaction, commission: Commission, *, reason: str, unpaid: bool = False) -> None:
    """Plan the closing stages again, and with ``unpaid`` those that wait for money. Called by commands."""
    ended = [s for r in _routes(commission) for s in reversed(r.stages) if s.step == Stage.Step.DONE]
    for stage in ended:
        if _closes(stage) or (unpaid and asks_money(stage) and not was_passed(stage)):
            append_stage(tx, "stage_put_back", stage, {})
    if commission.step == Step.CLOSED:
        move(tx, commission, Step.DELIVERED, reason)


def was_passed(stage: Stage) -> bool:
    """Return whether a reason overrode the rule that everything is paid."""
    return any(gate["key"] in stage.overrides for gate in stage.spec["gates"] if gate.get("rule") == PAID_UP)


def _closes(stage: Stage) -> bool:
    return STEPS.get(stage.spec["marks"]) == Step.CLOSED


def _routes(commission: Commission) -> list[RouteState]:
    return [RouteState(lookups.piece(p.number)) for p in lookups.pieces(commission)]
