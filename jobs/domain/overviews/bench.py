"""The bench: stages that can start, stages under way, waits, and windows not to miss."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, Q
from django.utils import timezone

from jobs.domain.clients.approvals import ASKED_COLUMNS, with_the_client
from jobs.domain.climate.air_history import air_now
from jobs.domain.overviews.jobs import (
    PRODUCT_COLUMNS,
    Found,
    date_job,
    in_order,
    job_card,
    office_job,
    opening,
    stage_job,
    task_job,
    wait_job,
    whose,
)
from jobs.domain.overviews.office import (
    MONEY,
    WAITS_FOR_CLIENT,
    WITH_CLIENT,
    office_card,
    office_rows,
    quote_card,
)
from jobs.domain.overviews.plan.today import by_plan, of_plan, planned_today
from jobs.domain.pieces.wood import WOOD_COLUMNS, thumb_of
from jobs.domain.planning.publishing import current
from jobs.domain.planning.queries import date_view, planned_between
from jobs.domain.reminders.queries import due_now, due_views
from jobs.domain.settings import settings
from jobs.domain.stages.left_open import still_asked
from jobs.domain.stages.safety_queries import open_tasks, task_rows, task_views
from jobs.domain.waits.queries import (
    Read,
    is_paused,
    routes_of,
    stage_title,
    wait_view,
    what_to_do,
    with_texts,
)
from jobs.domain.waits.route import (
    ONCE,
    RouteState,
    asks_money,
    awaits_quote,
    is_missed,
    is_once,
    is_suspect,
    may_begin,
    times_of,
)
from jobs.models import Commission, Piece, Stage, Wait

LIVE = (
    Commission.Step.ENQUIRY,
    Commission.Step.QUOTED,
    Commission.Step.ACCEPTED,
    Commission.Step.IN_SHOP,
    Commission.Step.READY,
    Commission.Step.DELIVERED,
)
PLACES_SHOWN = 2
DATES_BACK, DATES_AHEAD = timedelta(days=3), timedelta(days=21)
"""Days in which a date outside the shop shows; one that is over and not said so shows on."""
IDLE_SHOWN = 20
"""Number of idle pieces on the bench, by promised day."""


def bench(*, now: datetime, person: str, with_money: bool = True, for_all: bool = False) -> dict[str, Any]:
    """Return the bench screen over all live commissions, in a fixed number of queries.

    With ``for_all`` nobody's own planned work comes first: for a screen that all look at.
    """
    pieces, further = _pieces_now()
    of_office = office_rows(now=now) if with_money else []
    office = [(each, step) for each, step in of_office if step.do not in WAITS_FOR_CLIENT]
    asked_of = [each for each, step in of_office if step.do in WITH_CLIENT]
    shown = [
        *(p.commission for p in pieces),
        *(commission for commission, step in office),
        *asked_of,
    ]
    today = timezone.localtime(now).date()
    dates = planned_between(today - DATES_BACK, today + DATES_AHEAD)
    of_dates = [*dates, *(one.commission for one in dates if one.commission)]
    tasks = open_tasks(person)
    routes = routes_of(pieces)
    due = due_now(now=now, person=person)
    told = [*shown, *(commission.client for commission in shown), *task_rows(tasks), *of_dates, *due.rows]
    read = with_texts(routes, more_rows=told, with_attempts=False)
    unpaid = {c.number for c, step in office if step.do in MONEY}
    can_do, under_way, waiting, must, asked = [], [], [], [], []
    found: list[Found] = []
    plan = current()
    planned, titles = planned_today(plan, now), _titles(read)
    for route in read.routes:
        for stage in route.stages:
            if _is_left_out(route, stage, unpaid, with_money=with_money):
                continue
            job = stage_job(route, stage, now)
            if job is None and stage.step != Stage.Step.UNDER_WAY:
                continue
            view = card(route, stage, read)
            if job is not None:
                key = (route.piece.number, stage.key)
                job = by_plan(
                    replace(job, given=whose(stage, person)), planned, key, "" if for_all else person
                )
                told_of = job_card(view, route, stage, of_plan(planned.get(key), plan, titles))
                found.append(Found(job=job, card=told_of, stage=stage, piece=route.piece))
            if stage.step == Stage.Step.UNDER_WAY:
                under_way.append(view)
            elif route.can_start(stage, now):
                can_do.append({**view, "missed": any(is_missed(w, now) for w in route.holding(stage))})
            elif left := still_asked(stage):
                gates = [{"key": g["key"], "title": g["title"]} for g in left]
                asked.append({**view, "gates": gates})
        for wait in route.waits if not route.piece.commission.is_refused else ():
            view = {
                **card(route, route.by_key[wait.stage.key], read),
                "wait": wait_view(wait, now),
                "to_do": [what_to_do(route.by_key[key], read.texts) for key in wait.holds],
            }
            waiting.append(view)
            if _pressing(wait, now):
                must.append(view)
            if is_suspect(wait):
                found.append(wait_job(view))
    under_way = once(under_way)
    safety = task_views(tasks, read.texts, now=now)
    cards = [office_card(c, step, read.texts) for c, step in office]
    wood = _wood(read)
    found = _once(found)
    near = [one for one in dates if one.day <= today + timedelta(days=1)]
    found += [date_job(one, read.texts, wood, now) for one in near]
    found += [task_job(task, wood) for task in safety] + [office_job(each, wood) for each in cards]
    return {
        "now": now,
        "air": air_now(settings()["places"][:PLACES_SHOWN], at=now),
        "jobs": in_order(found, now),
        "hands_at": _hands_at(read, now),
        "promises": _promises(read),
        "to_approve": _to_approve(read),
        "dates": [date_view(one, read.texts) for one in dates],
        "with_clients": [quote_card(each, read.texts) for each in asked_of],
        "can_do": once([*under_way, *can_do])[len(under_way) :],
        "under_way": under_way,
        "office": cards,
        "further": further,
        "waiting": sorted(waiting, key=_by_ready),
        "must_not_miss": sorted(must, key=_by_close),
        "still_asked": asked,
        "reminders": due_views(due, to_do={view["wait"]["id"]: view["to_do"] for view in waiting}),
        "safety": safety,
    }


def _titles(read: Read) -> dict[str, str]:
    """Return the titles of the commissions by their numbers."""
    return {r.piece.commission.number: read.texts[r.piece.commission.title_ref] for r in read.routes}


def _to_approve(read: Read) -> list[dict[str, Any]]:
    """Return the drawings and samples that lie with clients."""
    return [
        {
            "commission": piece.commission.number,
            "piece": piece.number,
            "label": read.texts[piece.label_ref],
            "what": what,
            "asked_at": asked_at,
        }
        for piece, what, asked_at in with_the_client(read.routes)
    ]


def _is_left_out(route: RouteState, stage: Stage, unpaid: set[str], *, with_money: bool) -> bool:
    """Return whether a stage is the owner's alone, comes before its quote, or waits for money."""
    if stage.spec["owner_only"] and not with_money:
        return True
    if stage.step == Stage.Step.UNDER_WAY:
        return False
    commission = route.piece.commission
    if stage.step == Stage.Step.PLANNED and awaits_quote(commission.step):
        return True
    return asks_money(stage) and commission.number in unpaid


def _once(found: list[Found]) -> list[Found]:
    """Return the jobs with a stage of the whole commission only at its first piece."""
    kept = {id(view) for view in once([one.card for one in found])}
    return [one for one in found if id(one.card) in kept]


def _wood(read: Read) -> dict[str, tuple[str, Any]]:
    """Return the first piece of each commission, and its wood, for what is about the commission."""
    found: dict[str, tuple[str, Any]] = {}
    for route in read.routes:
        found.setdefault(route.piece.commission.number, (route.piece.number, thumb_of(route.piece)))
    return found


def _promises(read: Read) -> list[dict[str, Any]]:
    """Return the commissions that are promised and not delivered, the next one first."""
    found = {r.piece.commission.number: r.piece.commission for r in read.routes}
    open_ones = [c for c in found.values() if c.promise_on and c.step in Commission.UNDELIVERED]
    told = [
        {"promise_on": c.promise_on, "commission": c.number, "commission_title": read.texts[c.title_ref]}
        for c in open_ones
    ]
    return sorted(told, key=lambda each: (each["promise_on"], each["commission"]))


def _hands_at(read: Read, now: datetime) -> datetime | None:
    """Return when the next stage by hand opens, of those that only waits still hold."""
    held = [r.holding(s) for r in read.routes for s in r.stages if not s.spec["passive"] and r.open_to(s)]
    opening_at = [at for waits in held if waits and (at := opening(waits)) and at > now]
    return min(opening_at, default=None)


def _pieces_now() -> tuple[list[Piece], int]:
    """Return the live pieces in hand or waiting, the first idle ones, and how many are left out."""
    begun = Exists(Stage.objects.filter(piece=OuterRef("pk"), step=Stage.Step.UNDER_WAY))
    running = Exists(Wait.objects.filter(stage__piece=OuterRef("pk"), step=Wait.Step.RUNNING))
    live = Piece.objects.filter(commission__step__in=LIVE).defer("inputs", "computed", "changed")
    live = live.annotate(**WOOD_COLUMNS, **PRODUCT_COLUMNS, **ASKED_COLUMNS, is_busy=begun | running)
    stopped = Q(commission__step__in=Commission.UNDECIDED, commission__quote_declined=True)
    pieces = sorted(live.filter(~stopped | begun).select_related("commission__client"), key=_promised)
    idle = [piece.id for piece in pieces if not piece.is_busy]
    left = set(idle[IDLE_SHOWN:])
    return [piece for piece in pieces if piece.id not in left], len(left)


def _promised(piece: Piece) -> tuple[bool, Any, str, str]:
    promise = piece.commission.promise_on
    return (promise is None, promise or date.max, piece.commission.number, piece.number)


def once(cards: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the cards with a stage of the whole commission only at its first piece."""
    first = {(c["commission"], c["stage"]): c for c in reversed(cards) if c["once_per"] == ONCE}
    return [c for c in cards if first.get((c["commission"], c["stage"]), c) is c]


def card(route: RouteState, stage: Stage, read: Read) -> dict[str, Any]:
    """Return a stage with the names of its piece, commission and client."""
    piece = route.piece
    commission = piece.commission
    return {
        "commission": commission.number,
        "commission_title": read.texts[commission.title_ref],
        "client": read.texts[commission.client.name_ref],
        "promise_on": commission.promise_on,
        "step": commission.step,
        "piece": piece.number,
        "label": read.texts[piece.label_ref],
        "wood": thumb_of(piece),
        "stage": stage.key,
        "title": stage_title(stage, read.texts),
        "do": what_to_do(stage, read.texts),
        "place": stage.spec["place"],
        "started_at": stage.started_at,
        "paused": is_paused(stage),
        "once_per": "commission" if is_once(stage) else "piece",
        "version": piece.version,
    }


def _pressing(wait: Wait, now: datetime) -> bool:
    """Return whether a wait has an open or missed window, or is suspect."""
    _, closes = times_of(wait)
    return is_suspect(wait) or (closes is not None and may_begin(wait, now))


def _by_ready(view: dict[str, Any]) -> tuple[bool, Any]:
    ready = view["wait"]["ready_at"]
    return (ready is None, ready or view["wait"]["since"])


def _by_close(view: dict[str, Any]) -> tuple[bool, Any]:
    closes = view["wait"]["closes_at"]
    return (closes is not None, closes or view["wait"]["since"])
