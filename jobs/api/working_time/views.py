"""When people work, and on which days nobody does."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Owner, Worker
from jobs.api.kit.resources import Resource, row_made
from jobs.api.kit.routes import COMMISSION, route, view_route
from jobs.api.kit.view_bases import View
from jobs.api.working_time.serializers import (
    BlackoutIn,
    DayOffDone,
    DayOffIn,
    FirmnessIn,
    PromiseDone,
    WorkingHoursDone,
    WorkingHoursIn,
    WorkingTimeOut,
)
from jobs.domain import lookups
from jobs.domain.settings import settings
from jobs.domain.working_time.commands import cancel_day_off, set_day_off, set_working_hours
from jobs.domain.working_time.promises import cancel_blackout, set_blackout, set_promise_weight
from jobs.domain.working_time.queries import (
    coming_blackouts,
    days_off_views,
    firm_promises,
    hours_views,
    one_day_off,
)
from jobs.log.commands import CommandResult
from jobs.log.projections.working_time import FIRMNESS


def _show_hours(view: View, key: str) -> Any:
    return present(next(one for one in hours_views() if one["person"] == key))


def _show_promise(view: View, key: int | str) -> Any:
    found = lookups.commission(str(key))
    blackouts = coming_blackouts(timezone.localdate(), found)
    firmness = FIRMNESS[found.promise_weight]
    return present({"commission": found.number, "firmness": firmness, "blackouts": blackouts})


def _person(done: CommandResult) -> Any:
    return done.events[0].data["person"]


def _commission(done: CommandResult) -> Any:
    _, _, number = done.events[0].stream.partition(":")
    return number


HOURS = Resource(name="hours", done=WorkingHoursDone, show=_show_hours, key_of=_person)
DAY_OFF = Resource(
    name="day_off", done=DayOffDone, show=lambda view, key: present(one_day_off(key)), key_of=row_made
)
PROMISE = Resource(name="promise", done=PromiseDone, show=_show_promise, key_of=_commission)


class WorkingTimeView(View):
    """When people work."""

    permission_classes = (Worker,)

    @extend_schema(responses=WorkingTimeOut)
    def get(self, request: Request) -> Response:
        """Hours of everybody, days off, holidays, clients' days and firm promises from today on."""
        today = timezone.localdate()
        found = {
            "interruptions_pct": settings()["interruptions_pct"],
            "people": hours_views(),
            "days_off": days_off_views(today),
            "blackouts": coming_blackouts(today),
            "firm_promises": firm_promises(),
        }
        return Response(present(found))


SET_HOURS = HOURS.changes(set_working_hours, WorkingHoursIn, "Set the hours of a person.")
ADD_DAY_OFF = DAY_OFF.makes(set_day_off, DayOffIn, "Set days off of a person, or a holiday of the shop.")
END_DAY_OFF = DAY_OFF.removes(cancel_day_off, "Take days off back.")
ADD_BLACKOUT = PROMISE.makes(set_blackout, BlackoutIn, "Set days on which the client takes nothing.")
END_BLACKOUT = PROMISE.removes(cancel_blackout, "Take a client's days back.")
SET_FIRMNESS = PROMISE.changes(set_promise_weight, FirmnessIn, "Say how firm the promised day is.")
ROUTES = [
    view_route("working-time/", "working-time", WorkingTimeView),
    route("working-time/people/<str:who>/", "working-hours", Owner, put=SET_HOURS),
    route("working-time/days-off/", "days-off", Worker, post=ADD_DAY_OFF),
    route("working-time/days-off/<key:day_off>/", "day-off", Worker, delete=END_DAY_OFF),
    route(f"{COMMISSION}blackouts/", "blackouts", Owner, post=ADD_BLACKOUT),
    route(f"{COMMISSION}firmness/", "firmness", Owner, put=SET_FIRMNESS),
    route(f"{COMMISSION}blackouts/<key:blackout>/", "blackout", Owner, delete=END_BLACKOUT),
]
