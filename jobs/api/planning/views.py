"""Dates outside the shop."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Worker
from jobs.api.kit.resources import Resource, row_made
from jobs.api.kit.routes import route, view_route
from jobs.api.kit.view_bases import View
from jobs.api.planning.serializers import (
    AppointmentCancelIn,
    AppointmentChangeIn,
    AppointmentDone,
    AppointmentEndIn,
    AppointmentIn,
    AppointmentOut,
)
from jobs.domain import lookups
from jobs.domain.planning.appointments import (
    FARTHEST,
    cancel_appointment,
    change_appointment,
    finish_appointment,
    set_appointment,
)
from jobs.domain.planning.queries import appointment_views, planned_between
from jobs.models import Appointment


def _show(view: View, key: int) -> Any:
    found = Appointment.objects.select_related("commission__client").filter(id=key)
    return present(appointment_views([lookups.existing(found, "appointment", key)]))[0]


APPOINTMENT = Resource(
    name="appointment", done=AppointmentDone, show=_show, address="appointment", key_of=row_made
)


class AppointmentsView(View):
    """Dates outside the shop."""

    permission_classes = (Worker,)

    @extend_schema(operation_id="appointments_get", responses=AppointmentOut(many=True))
    def get(self, request: Request) -> Response:
        """The planned dates from today on, the next one first."""
        today = timezone.localdate()
        return Response(present(appointment_views(planned_between(today, today + FARTHEST))))

    post = APPOINTMENT.makes(set_appointment, AppointmentIn, "Set a date outside the shop.")


class AppointmentView(View):
    """One date outside the shop."""

    permission_classes = (Worker,)

    @extend_schema(responses=AppointmentOut)
    def get(self, request: Request, appointment: int) -> Response:
        """When, where, who goes, and whether the client was told."""
        return Response(_show(self, appointment))

    put = APPOINTMENT.changes(
        change_appointment,
        AppointmentChangeIn,
        "Say a date again; a client who was told it hears of the new one.",
    )


DONE = APPOINTMENT.changes(finish_appointment, AppointmentEndIn, "Say that a date was kept.")
CANCEL = APPOINTMENT.changes(
    cancel_appointment, AppointmentCancelIn, "Cancel a date; the client who was told hears of it."
)
ROUTES = [
    view_route("appointments/", "appointments", AppointmentsView),
    view_route("appointments/<key:appointment>/", "appointment", AppointmentView),
    route("appointments/<key:appointment>/done/", "appointment-done", Worker, post=DONE),
    route("appointments/<key:appointment>/cancel/", "appointment-cancel", Worker, post=CANCEL),
]
