"""What moved between two plans, and what made it move, where the log can tell."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from jobs.domain.planning.plan_days import DayPlan, spans
from jobs.domain.planning.published import Moved, Published
from jobs.models import Event, Wait

LEAST_MOVE = timedelta(hours=1)
"""Moves under this are not told: a shop without slack moves by minutes all day."""
MOST_READ = 500
OF_PIECE = {
    "stage_redone": gettext_noop("a stage is redone"),
    "stage_reopened": gettext_noop("a stage was opened again"),
    "stage_put_back": gettext_noop("a stage was put back"),
    "route_changed": gettext_noop("its route changed"),
    "piece_changed": gettext_noop("the piece changed"),
    "plan_pinned": gettext_noop("it was pinned"),
    "plan_unpinned": gettext_noop("its pin was taken off"),
    "stage_given": gettext_noop("it was given to somebody"),
    "wait_changed": gettext_noop("a wait takes another time"),
    "stage_finished": gettext_noop("work before it ended at another time"),
    "stage_started": gettext_noop("work before it began at another time"),
}
"""Events of a piece that move its work, the strongest reason first."""
OF_ORDER = {
    "payment_received": gettext_noop("the deposit came in"),
    "client_approved": gettext_noop("the client approved"),
    "approval_asked": gettext_noop("the client was asked to approve"),
    "commission_blackout_set": gettext_noop("the client cannot take it on some days"),
    "promise_weight_set": gettext_noop("its promise counts differently"),
    "commission_changed": gettext_noop("the order changed"),
}
"""Events of a commission that move its work."""
OF_SHOP = {
    "day_off_set": gettext_noop("somebody is away"),
    "day_off_cancelled": gettext_noop("a day off was taken back"),
    "working_hours_set": gettext_noop("working hours changed"),
    "appointment_set": gettext_noop("a date outside the shop was set"),
    "appointment_changed": gettext_noop("a date outside the shop changed"),
    "equipment_added": gettext_noop("there are more clamps or places"),
    "equipment_retired": gettext_noop("there are fewer clamps or places"),
    "offer_accepted": gettext_noop("another order was accepted"),
    "shop_set": gettext_noop("the shop's settings changed"),
    "stage_redone": gettext_noop("a stage of another piece is redone"),
    "promise_weight_set": gettext_noop("another promise counts more"),
    "plan_pinned": gettext_noop("other work was pinned"),
}
"""Events of the shop, or of other orders, that move work, the strongest reason first."""


@dataclass(kw_only=True)
class Causes:
    """The kinds of event since a plan, by piece and commission, and of the whole shop; the air of waits."""

    pieces: dict[str, set[str]] = field(default_factory=dict)
    orders: dict[str, set[str]] = field(default_factory=dict)
    shop: set[str] = field(default_factory=set)
    air: dict[str, str] = field(default_factory=dict)

    def of(self, one: Moved) -> str:
        """Return why something moved, in words; empty where nobody can tell."""
        mine = self.pieces.get(one.piece, set())
        found = _first(OF_PIECE, mine) if one.piece else ""
        return (
            found
            or _first(OF_ORDER, self.orders.get(one.commission, set()))
            or self.air.get(one.piece, "")
            or _first(OF_SHOP, self.shop)
        )


def _first(words: dict[str, str], kinds: set[str]) -> str:
    return next((_(said) for kind, said in words.items() if kind in kinds), "")


def moves(was: DayPlan, now: Published) -> list[Moved]:
    """Return what begins an hour or more apart in two plans, and the commissions ready on another day."""
    found = [one for one in _moves(was, now) if abs(one.becomes - one.was) >= LEAST_MOVE]
    if not found:
        return []
    causes = causes_since(was.made_at, {one.piece for one in found if one.piece})
    told = [replace(one, why=causes.of(one)) for one in found]
    return sorted(told, key=lambda one: (one.becomes, one.commission, one.piece, one.stage))


def _moves(was: DayPlan, now: Published) -> Iterable[Moved]:
    numbers = {(one.piece, one.stage): one.commission for one in now.work}
    for name, (begins, _ends) in spans(now).items():
        if name in was.work:
            piece, stage = name
            yield Moved(
                commission=numbers[name], was=was.work[name][0], becomes=begins, piece=piece, stage=stage
            )
    for one in now.finishes:
        if day := was.ready.get(one.commission):
            yield Moved(commission=one.commission, was=_noon(day), becomes=_noon(one.ready_on))


def causes_since(moment: datetime, pieces: Iterable[str]) -> Causes:
    """Return what happened since a moment that may move work, in two queries."""
    found = Causes()
    kinds = {*OF_PIECE, *OF_ORDER, *OF_SHOP}
    events = Event.objects.filter(recorded_at__gte=moment, kind__in=kinds).order_by("-seq")[:MOST_READ]
    for event in events:
        found.shop.add(event.kind)
        found.pieces.setdefault(str(event.data.get("piece", "")), set()).add(event.kind)
        found.orders.setdefault(event.stream.partition(":")[2], set()).add(event.kind)
    running = Wait.objects.filter(step=Wait.Step.RUNNING, stage__piece__number__in=list(pieces))
    for number, reason in running.values_list("stage__piece__number", "estimate__reason"):
        if reason:
            found.air[number] = reason
    return found


def _noon(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time(12)))
