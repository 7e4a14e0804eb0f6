"""Stages: start, finish, put back, reopen."""

from collections.abc import Mapping

from jobs import gates, lookups
from jobs.balance import balance
from jobs.commands.commissions import move, refuse_if_ended
from jobs.commands.follow_up import append_stage, carry_on, end_wait, start_waits
from jobs.commands.marks import follow_mark, unfollow_mark
from jobs.errors import AlreadyDone, Invalid, NotYet, RestsOnPaper, WrongState
from jobs.gates import Ground, Shut, Units
from jobs.log import Writing, command
from jobs.models import Commission, Paper, Stage, Wait
from jobs.names import clock, person_name, title_of
from jobs.pieces import products_for
from jobs.private import keep
from jobs.route_state import RouteState, is_missed, is_over, times_of

Step = Commission.Step
LONGEST_MINUTES = 7 * 24 * 60
STARTS_THE_WORK = (Step.ACCEPTED,)


@command
def start_stage(
    log: Writing,
    *,
    piece: str,
    stage: str,
    units: Units,
    measured: Mapping[str, str] | None = None,
    override: Mapping[str, str] | None = None,
) -> None:
    """Start a stage whose predecessors are finished, whose waits are over and whose gates hold.

    ``override`` maps a gate's key to the reason why it is passed all the same; a running wait has the key
    ``wait:<kind>``, a missed window ``window:<kind>``. Predecessors cannot be overridden.
    """
    found = _stage(log, piece, stage)
    _refuse_unless_planned(found)
    if found.spec["passive"]:
        raise WrongState(f"{title_of(found)} starts by itself", field="stage", value=stage)
    route = RouteState(found.piece)
    _refuse_unless_open(route, found)
    holding = route.holding(found)
    passed = gates.check(
        found.spec["gates"],
        "start",
        measured or {},
        override or {},
        ground(log, route, units),
        also_shut=[s for wait in holding for s in _shut_by_wait(log, wait)],
    )
    if found.piece.commission.step in STARTS_THE_WORK and not found.spec["before_acceptance"]:
        move(log, found.piece.commission, Step.IN_SHOP)
    for wait in holding:
        end_wait(log, wait, reason=passed.overrides.get(f"wait:{wait.kind}", ""))
    append_stage(
        log,
        "stage_started",
        found,
        {
            "measured": passed.measured,
            "overrides": _kept(passed.overrides),
            "auto": False,
        },
    )
    carry_on(log, found.piece)


@command
def finish_stage(
    log: Writing,
    *,
    piece: str,
    stage: str,
    units: Units,
    minutes: int | None = None,
    measured: Mapping[str, str] | None = None,
    override: Mapping[str, str] | None = None,
    remark: str = "",
) -> None:
    """Finish a stage that is under way: its gates hold, its waits start, stages that need no hands follow."""
    found = _stage(log, piece, stage)
    _refuse_unless_under_way(found)
    refuse_if_ended(found.piece.commission)
    if minutes is None:
        minutes = _minutes_since_start(log, found)
    if not 0 <= minutes <= LONGEST_MINUTES:
        raise Invalid(
            "minutes out of range", field="minutes", value=minutes, allowed=f"0 to {LONGEST_MINUTES}"
        )
    route = RouteState(found.piece)
    passed = gates.check(
        found.spec["gates"], "finish", measured or {}, override or {}, ground(log, route, units)
    )
    append_stage(
        log,
        "stage_finished",
        found,
        {
            "minutes": minutes,
            "measured": passed.measured,
            "overrides": _kept(passed.overrides),
            "remark": keep(remark, field="remark"),
        },
    )
    start_waits(log, RouteState(found.piece), lookups.stage(piece, stage))
    carry_on(log, found.piece)
    if found.spec["marks"]:
        follow_mark(log, found.piece.commission, found.spec["marks"])


@command
def put_back_stage(log: Writing, *, piece: str, stage: str) -> None:
    """Undo the start of a stage: it is planned again, what was measured at its start is void."""
    found = _stage(log, piece, stage)
    refuse_if_ended(found.piece.commission)
    _refuse_unless_under_way(found)
    append_stage(log, "stage_put_back", found, {})


@command
def reopen_stage(log: Writing, *, piece: str, stage: str, reason: str) -> None:
    """Reopen a finished stage: its waits are void and it is under way again.

    Refused while a successor has started or an issued paper rests on it, naming what comes first.
    """
    found = _stage(log, piece, stage)
    if found.step not in (Stage.Step.DONE, Stage.Step.WAITING):
        raise WrongState(
            f"{title_of(found)} is {found.step}; only a finished stage is reopened",
            field="stage",
            value=stage,
            allowed="done, waiting",
        )
    if found.spec["passive"]:
        raise WrongState(
            f"{title_of(found)} needs no hands; reopen what comes before it",
            field="stage",
            value=stage,
            allowed=", ".join(found.spec["after"]),
        )
    if not reason.strip():
        raise Invalid("reopening needs a reason", field="reason", value=reason, allowed="a sentence why")
    route = RouteState(found.piece)
    unattended = _refuse_if_succeeded(route, found)
    _refuse_if_on_paper(found)
    if found.spec["marks"]:
        unfollow_mark(log, found.piece.commission, found.spec["marks"])
    else:
        refuse_if_ended(found.piece.commission)
    for follower in reversed(unattended):
        append_stage(log, "stage_put_back", follower, {})
    append_stage(log, "stage_reopened", found, {"reason": keep(reason, field="reason")})


def ground(log: Writing, route: RouteState, units: Units) -> Ground:
    """What the gates of this piece are judged against, at this moment."""
    commission, inputs = route.piece.commission, route.piece.inputs
    glues, finishes = products_for("glue", inputs), products_for("finish", inputs)
    return Ground(
        at=log.call.at,
        units=units,
        glues=[p.glue for p in glues if p.glue],
        finishes=[p.finish for p in finishes if p.finish],
        finished_at=route.finished_at,
        rules={
            "checklist-issued": lambda: _no_checklist(commission),
            "paid-up": lambda: _not_paid(commission),
        },
    )


def _stage(log: Writing, piece: str, key: str) -> Stage:
    """The stage, as the caller saw it and where it is theirs to change."""
    found = lookups.stage(piece, key)
    log.seen(found.piece.version, what=f"piece {piece}")
    if found.spec["owner_only"]:
        log.by_owner(title_of(found))
    return found


def _kept(overrides: Mapping[str, str]) -> dict[str, dict[str, str] | None]:
    return {key: keep(reason, field=f"override.{key}") for key, reason in overrides.items()}


def _refuse_unless_planned(stage: Stage) -> None:
    if stage.step == Stage.Step.PLANNED:
        return
    by_whom = person_name(stage.finished_by or stage.started_by)
    at = stage.finished_at or stage.started_at
    raise AlreadyDone(
        f"{title_of(stage)} is {stage.step} already: by {by_whom} at {clock(at)}",
        field="stage",
        value=stage.key,
        allowed="a planned stage",
        extra={"by": by_whom, "at": at},
    )


def _refuse_unless_under_way(stage: Stage) -> None:
    if stage.step == Stage.Step.PLANNED:
        raise NotYet(
            f"{title_of(stage)} has not been started",
            field="stage",
            value=stage.key,
            allowed="a stage that is under way",
        )
    if stage.step != Stage.Step.UNDER_WAY:
        _refuse_unless_planned(stage)


def _refuse_unless_open(route: RouteState, stage: Stage) -> None:
    commission = route.piece.commission
    refuse_if_ended(commission)
    missing = route.missing(stage)
    if missing:
        raise NotYet(
            f"{title_of(stage)} comes after: " + ", ".join(title_of(s) for s in missing),
            field="stage",
            value=stage.key,
            allowed="stages whose predecessors are finished",
            extra={"first": [s.key for s in missing]},
        )
    if not route.allowed(stage):
        raise WrongState(
            f"commission {commission.number} is {commission.step}; only what precedes acceptance can be done",
            field="stage",
            value=stage.key,
            allowed="accept the commission first",
        )


def _shut_by_wait(log: Writing, wait: Wait) -> list[Shut]:
    ready_at, closes_at = times_of(wait)
    if not is_over(wait, log.call.at):
        ready = f"ready at {clock(ready_at)}" if ready_at else f"no ready time: {wait.reason}"
        return [Shut(key=f"wait:{wait.kind}", title=wait.title, value="still running", allowed=ready)]
    if is_missed(wait, log.call.at):
        closed = f"before {clock(closes_at)}"
        return [Shut(key=f"window:{wait.kind}", title=wait.title, value="window missed", allowed=closed)]
    return []


def _minutes_since_start(log: Writing, stage: Stage) -> int:
    assert stage.started_at is not None
    minutes = round((log.call.at - stage.started_at).total_seconds() / 60)
    if minutes > LONGEST_MINUTES or minutes < 0:
        raise Invalid(
            "it was started too long ago to count the minutes: give them",
            field="minutes",
            value=minutes,
            allowed=f"0 to {LONGEST_MINUTES}",
        )
    return minutes


def _no_checklist(commission: Commission) -> str:
    issued = commission.papers.filter(kind=Paper.Kind.CHECKLIST, withdrawn_at=None).exists()
    return "" if issued else "no delivery checklist yet"


def _not_paid(commission: Commission) -> str:
    owed = balance(commission).owed
    return "no invoice yet" if owed is None else f"{owed} owed" if owed > 0 else ""


def _refuse_if_succeeded(route: RouteState, stage: Stage) -> list[Stage]:
    """Followers that have been started by hand refuse; those that started by themselves are returned."""
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


def _refuse_if_on_paper(stage: Stage) -> None:
    papers = stage.piece.commission.papers.filter(kind__in=stage.spec["papers"], withdrawn_at=None)
    numbers = [p.number for p in papers]
    if numbers:
        raise RestsOnPaper(
            f"{', '.join(numbers)} rests on {title_of(stage)}: withdraw or credit it first",
            field="stage",
            value=stage.key,
            extra={"papers": numbers},
        )
