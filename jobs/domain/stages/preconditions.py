"""Checks that the commands on stages share."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial
from typing import Any

from django.utils import timezone

from jobs.core.errors import (
    AlreadyDone,
    Invalid,
    NotYet,
    Probably,
    RestsOnPaper,
    SeveralClampings,
    WrongState,
)
from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.checks import about, clock, person_name, refuse_if_ended, title_of
from jobs.domain.climate.settling import shop_emc
from jobs.domain.gate_rules import gate_rules
from jobs.domain.pieces.inputs import products_for
from jobs.domain.stages import clampings
from jobs.domain.stages.gates import GateContext, GateFailure, sizes_of
from jobs.domain.stock.shelf_life import lot_warnings
from jobs.domain.waits.route import RouteState, asks_money, is_missed, may_begin, reason_of, times_of
from jobs.log.commands import CommandTransaction
from jobs.log.private_texts import store_private_text
from jobs.models import Event, Paper, Stage, Wait

LONGEST_MINUTES = 7 * 24 * 60
LONG_AGO = timedelta(days=30)
"""Work entered later than this needs a confirmation."""
JUST_NOW = timedelta(minutes=5)
"""An earlier time within this span counts as the time of sending."""
GLUE_LOT = "glue_lot"
"""The gate that asks which lot of glue was used."""


def ground(tx: CommandTransaction, route: RouteState, units: Units) -> GateContext:
    """Return the context that the gates of this piece are judged against, at this moment."""
    commission = route.piece.commission
    rules = {name: partial(rule, commission) for name, rule in gate_rules().items()}
    return replace(shown_ground(route, tx.call.at, units), rules=rules)


def shown_ground(route: RouteState, at: datetime, units: Units) -> GateContext:
    """Return the context for showing limits; only commands judge rules."""
    inputs = route.piece.inputs
    return GateContext(
        at=at,
        units=units,
        glues=[p.glue for p in products_for("glue", inputs) if p.glue],
        finishes=[p.finish for p in products_for("finish", inputs) if p.finish],
        finished_at=route.finished_at,
        rules={},
        sizes=sizes_of(inputs),
        shop_emc=shop_emc(at=at),
    )


def the_stage(
    tx: CommandTransaction, piece: str, key: str, *, still: Callable[[Stage], None] = lambda stage: None
) -> Stage:
    """Return the stage; refuse a version that is stale, and an owner's stage to a maker.

    ``still`` refuses an action that was already carried out, before the check of the version.
    """
    found = lookups.stage(piece, key)
    if found.spec["owner_only"]:
        tx.require_owner(title_of(found))
    still(found)
    tx.check_version(found.piece.version, what=f"piece {piece}")
    return found


def ask_if_long_ago(tx: CommandTransaction, stage: Stage, *, meant: bool) -> None:
    """Refuse a time that is probably mistyped until the caller confirms it with ``meant``."""
    at, opened = tx.call.at, stage.piece.commission.opened_at
    if meant or not is_earlier(tx) or (at >= opened and tx.call.now - at <= LONG_AGO):
        return
    days = (tx.call.now - at).days
    why = f"{days} days ago" if at >= opened else f"before its commission was opened at {clock(opened)}"
    raise Probably(
        f"{title_of(stage)} at {clock(at)}: that is {why}",
        field="long_ago",
        value=False,
        allowed="another time, or to say that it happened then",
        extra={"occurred_at": at.isoformat(), "opened_at": opened.isoformat()},
    )


def is_earlier(tx: CommandTransaction) -> bool:
    """Return whether the caller gave an earlier time; a clock that was set back gives none."""
    return tx.call.now - tx.call.at > JUST_NOW


def kept(overrides: Mapping[str, str]) -> dict[str, dict[str, str] | None]:
    """Store override reasons as private texts; return their refs by gate."""
    return {key: store_private_text(reason, field=f"override.{key}") for key, reason in overrides.items()}


def refuse_unless_planned(stage: Stage) -> None:
    """Refuse a stage that was begun or skipped, saying by whom and when."""
    if stage.step == Stage.Step.PLANNED:
        return
    by_whom = person_name(stage.finished_by or stage.started_by)
    at = stage.finished_at or stage.started_at
    refusal = WrongState if stage.step == Stage.Step.SKIPPED else AlreadyDone
    says = f"is {stage.step} already: by {by_whom} at {clock(at)}"
    raise about(stage, says, allowed="a planned stage", error=refusal, extra={"by": by_whom, "at": at})


def refuse_unless_under_way(stage: Stage) -> None:
    """Refuse a stage that is not under way."""
    if stage.step == Stage.Step.PLANNED:
        raise about(stage, "has not been started", allowed="a stage that is under way", error=NotYet)
    if stage.step != Stage.Step.UNDER_WAY:
        refuse_unless_planned(stage)


def refuse_as_done(
    stage: Stage, says: str, *, allowed: str, field: str = "stage", value: object = None, **of: Any
) -> None:
    """Refuse what the last of these events already did, if there is one, saying by whom and when."""
    stream = f"commission:{stage.piece.commission.number}"
    found = Event.objects.filter(stream=stream, **of).order_by("-seq")
    names = {"piece": stage.piece.number, "stage": stage.key}
    last = next((e for e in found if names.items() <= e.data.items()), None)
    if last is None:
        return
    by_whom = person_name(last.actor)
    raise AlreadyDone(
        f"{says} already: by {by_whom} at {clock(last.occurred_at)}",
        field=field,
        value=value or stage.key,
        allowed=allowed,
        extra={"by": by_whom, "at": last.occurred_at},
    )


def shut_by_clampings(
    route: RouteState, stage: Stage, override: Mapping[str, str], *, at: datetime
) -> list[GateFailure]:
    """Refuse a glue-up computed as several clampings until somebody decides.

    The decision becomes an override that goes on record.
    """
    found = clampings.several(route, stage, at=at)
    if not found:
        return []
    says = "; ".join(one.words for one in found)
    if clampings.KEY not in override:
        raise SeveralClampings(
            says,
            field=f"override.{clampings.KEY}",
            value="",
            allowed="why it is glued in one go all the same; or a slower glue, more hands, or a glue-up "
            "for each clamping",
            extra={"clampings": [one.view() for one in found]},
        )
    return [GateFailure(key=clampings.KEY, title="Clampings", value=says, allowed="one for each glue-up")]


def refuse_unless_open(route: RouteState, stage: Stage) -> None:
    """Refuse a stage with unfinished predecessors, or one that its commission does not allow."""
    commission = route.piece.commission
    refuse_if_ended(commission)
    missing = route.missing(stage)
    if missing:
        says = "comes after: " + ", ".join(title_of(s) for s in missing)
        allowed, first = "stages whose predecessors are finished", [s.key for s in missing]
        raise about(stage, says, allowed=allowed, error=NotYet, extra={"first": first})
    if commission.is_refused:
        raise WrongState(
            f"the quote of commission {commission.number} was declined",
            field="stage",
            value=stage.key,
            allowed="a revised quote issued, or the commission accepted",
        )
    if not route.allowed(stage):
        raise WrongState(
            f"commission {commission.number} is {commission.step}; only what precedes acceptance can be done",
            field="stage",
            value=stage.key,
            allowed="accept the commission first",
        )


def shut_by_wait(tx: CommandTransaction, wait: Wait) -> list[GateFailure]:
    """Return a running wait, or a missed window, as a failure that a reason can override."""
    ready_at, closes_at = times_of(wait)
    if not may_begin(wait, tx.call.at):
        ready = f"ready at {clock(ready_at)}" if ready_at else f"no ready time: {reason_of(wait)}"
        return [GateFailure(key=f"wait:{wait.kind}", title=wait.title, value="still running", allowed=ready)]
    if is_missed(wait, tx.call.at):
        closed = f"before {clock(closes_at)}"
        return [
            GateFailure(key=f"window:{wait.kind}", title=wait.title, value="window missed", allowed=closed)
        ]
    return []


def refuse_before_start(tx: CommandTransaction, stage: Stage) -> None:
    """Refuse an earlier time that lies before the start of a stage; a clock set back refuses nothing."""
    assert stage.started_at is not None
    if is_earlier(tx) and tx.call.at < stage.started_at:
        raise Invalid(
            f"this lies before the start at {clock(stage.started_at)}",
            field="occurred_at",
            value=clock(tx.call.at),
            allowed="later than the start",
        )


def minutes_worked(tx: CommandTransaction, stage: Stage) -> int:
    """Return the minutes at work: those counted before a pause, and those since the work resumed."""
    refuse_before_start(tx, stage)
    since = stage.resumed_at
    seconds = stage.worked_s + (max(0.0, (tx.call.at - since).total_seconds()) if since else 0)
    minutes = round(seconds / 60)
    if minutes > LONGEST_MINUTES:
        raise Invalid(
            "it was started too long ago to count the minutes: give them",
            field="minutes",
            value=minutes,
            allowed=f"0 to {LONGEST_MINUTES}",
        )
    return minutes


def warn_of_lots(tx: CommandTransaction, measured: Mapping[str, Any], stage: Stage) -> None:
    """Add a notice for each defect of a glue lot that was just recorded."""
    for gate in stage.spec["gates"]:
        if gate["key"] == GLUE_LOT and GLUE_LOT in measured:
            tx.notices.extend(lot_warnings(measured[GLUE_LOT]["code"], timezone.localdate(tx.call.at)))


def refuse_if_succeeded(route: RouteState, stage: Stage) -> list[Stage]:
    """Refuse if a follower was started by hand; return the followers that started automatically."""
    unattended: list[Stage] = []
    begun: list[Stage] = []
    todo = route.followers(stage)
    while todo:
        follower = todo.pop(0)
        if follower.step == Stage.Step.PLANNED or follower in unattended:
            continue
        if follower.spec["passive"]:
            unattended.append(follower)
            todo += route.followers(follower)
        else:
            begun.append(follower)
    if begun:
        raise WrongState(
            f"{', '.join(title_of(s) for s in begun)} started after {title_of(stage)}: reopen or put back "
            "first",
            field="stage",
            value=stage.key,
            allowed="stages whose successors have not started",
            extra={"first": [s.key for s in begun]},
        )
    return unattended


def refuse_if_on_paper(stage: Stage) -> None:
    """Refuse to change a stage that an issued paper rests on."""
    kinds = set(stage.spec["papers"])
    if asks_money(stage):  # the stage rests on the invoice, not the invoice on the stage
        kinds.discard(Paper.INVOICE)
    papers = stage.piece.commission.papers.filter(kind__in=kinds, withdrawn_at=None)
    numbers = [p.number for p in papers]
    if numbers:
        raise RestsOnPaper(
            f"{', '.join(numbers)} rests on {title_of(stage)}: withdraw or credit it first",
            field="stage",
            value=stage.key,
            extra={"papers": numbers},
        )
