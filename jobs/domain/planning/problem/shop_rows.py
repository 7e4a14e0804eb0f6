"""The rows that a plan is made from, read in a fixed number of queries however many orders there are."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.utils import timezone

from jobs.domain.clients.approvals import ASKED_COLUMNS
from jobs.domain.planning.pins import pins_of
from jobs.domain.planning.problem.axis import Axis
from jobs.domain.planning.problem.changes import Changes
from jobs.domain.planning.problem.client import client_dates
from jobs.domain.planning.problem.drafts import Ground, Pin, is_work, task_key
from jobs.domain.planning.problem.imagined import more_like, new_commission, settle
from jobs.domain.planning.problem.lengths import WaitLengths
from jobs.domain.planning.problem.minutes import StageMinutes
from jobs.domain.planning.problem.people import people_of
from jobs.domain.planning.problem.places import places_of
from jobs.domain.stages.clamps import released_by
from jobs.domain.waits.queries import routes_of
from jobs.domain.waits.route import RouteState
from jobs.domain.working_time.open_hours import interruption_share, weights
from jobs.models import Appointment, Commission, Piece
from jobs.models import Hold as Taken

Step = Commission.Step
PLANNED = (Step.QUOTED, Step.ACCEPTED, Step.IN_SHOP, Step.READY)


@dataclass(frozen=True, kw_only=True)
class ShopRows:
    """Orders with their routes, dates outside, clamps in use, pins, weights of promises."""

    commissions: Sequence[Commission]
    routes: Sequence[RouteState]
    dates: Sequence[Appointment]
    taken: Sequence[Taken]
    pins: Mapping[tuple[str, str], Pin]
    weights: Mapping[str, int]

    def routes_of(self, commission: Commission) -> list[RouteState]:
        """Return the routes of a commission's pieces."""
        return [route for route in self.routes if route.piece.commission_id == commission.id]


def read_shop(now: datetime, changes: Changes) -> ShopRows:
    """Read what a plan is made from."""
    every = Commission.objects.filter(step__in=(*PLANNED, Step.ENQUIRY)).order_by("number")
    commissions = [
        one for one in every if one.number in changes.firm or (one.step in PLANNED and not one.is_refused)
    ]
    of = {one.id: one for one in commissions}
    pieces = list(Piece.objects.filter(commission__in=of).annotate(**ASKED_COLUMNS).order_by("id"))
    for piece in pieces:
        piece.commission = of[piece.commission_id]
        if piece.number in changes.inputs:
            piece.inputs = {**piece.inputs, **changes.inputs[piece.number]}
    dates = Appointment.objects.filter(step=Appointment.Step.PLANNED, day__gte=timezone.localdate(now))
    routes = routes_of(pieces)
    if changes.like:
        commissions.append(new := new_commission(now))
        routes += more_like(changes.like, changes.inputs, new)
    settle([route for route in routes if route.piece.commission.number in changes.settled], now)
    return ShopRows(
        commissions=commissions, routes=routes,
        dates=list(dates.select_related("commission")),
        taken=list(Taken.objects.select_related("equipment", "stage")),
        pins=pins_of(), weights=weights([one.number for one in commissions]),
    )  # fmt: skip


def ground_of(rows: ShopRows, axis: Axis, now: datetime, changes: Changes) -> Ground:
    """Return what every draft on this axis is made from."""
    places, held = places_of(rows.taken, _freed_by(rows), extra=changes.clamps)
    stages = [stage for route in rows.routes for stage in route.stages if is_work(stage)]
    minutes = StageMinutes(stages)
    for one in rows.commissions:
        if one.number in changes.hours:
            work = [(s, route.piece) for route in rows.routes_of(one) for s in route.stages if is_work(s)]
            minutes.take_in_all(work, changes.hours[one.number], now)
    return Ground(
        now=now, axis=axis, people=people_of(axis, rows.dates, changes), places=places, held=held,
        minutes=minutes, lengths=WaitLengths(rows.routes, now),
        clients=client_dates(rows.commissions, rows.routes, rows.dates, now), pins=rows.pins,
        promises=changes.promises, stretch=1 / (1 - float(interruption_share())), unpinned=changes.unpinned,
    )  # fmt: skip


def longer(known: Ground, rows: ShopRows, axis: Axis, changes: Changes) -> Ground:
    """Return the same ground on a longer axis."""
    return replace(known, axis=axis, people=people_of(axis, rows.dates, changes))


def _freed_by(rows: ShopRows) -> dict[int, str]:
    """Return the task that frees the clamps of a stage, by the id of the stage."""
    found = {}
    open_keys = {(r.piece.number, s.key) for r in rows.routes for s in r.stages if is_work(s)}
    numbers = {route.piece.id: route.piece.number for route in rows.routes}
    for one in rows.taken:
        number = numbers.get(one.stage.piece_id, "")
        lets_go = [key for key in released_by(one.stage) or [one.stage.key] if (number, key) in open_keys]
        if lets_go:
            found[one.stage_id] = task_key(number, lets_go[-1], 1, 1)
    return found
