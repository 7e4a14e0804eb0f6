"""Waits, reminders and the bench."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Owner, Worker
from jobs.api.kit.resources import Resource
from jobs.api.kit.routes import command_routes, route, view_route
from jobs.api.kit.view_bases import View
from jobs.api.pieces.serializers import WaitingOut
from jobs.api.pieces.views import PIECE
from jobs.api.service.history_serializers import BenchOut
from jobs.api.stages.wait_serializers import (
    ReminderOut,
    RemindersDone,
    ReplyIn,
    SnoozeIn,
    UndeliveredOut,
    WaitFinishIn,
    WaitStartIn,
    WaitTakeBackIn,
)
from jobs.domain.overviews.bench import bench
from jobs.domain.reminders.delivery import resend
from jobs.domain.reminders.queries import reminders_due, undelivered
from jobs.domain.reminders.replies import acknowledge_reminder, ask_again, snooze_reminder
from jobs.domain.stages.wait_commands import correct_start, finish_wait, take_back_end


def _show(view: View, key: None = None) -> Any:
    return present(reminders_due(now=timezone.now(), person=view.request.user.id))


REMINDERS = Resource(name="reminders", done=RemindersDone, show=_show)


class BenchView(View):
    """The bench: now."""

    permission_classes = (Worker,)

    @extend_schema(responses=BenchOut)
    def get(self, request: Request) -> Response:
        """The bench: stages to do, under way and waiting, and windows that must not be missed."""
        return Response(
            present(bench(now=timezone.now(), person=request.user.id, with_money=self.with_money))
        )


class WaitsView(View):
    """Everything that is waiting."""

    permission_classes = (Worker,)

    @extend_schema(responses=WaitingOut(many=True))
    def get(self, request: Request) -> Response:
        """Running waits, the first to be ready first."""
        seen = bench(now=timezone.now(), person=request.user.id, with_money=self.with_money)
        return Response(present(seen["waiting"]))


class RemindersView(View):
    """One's own reminders."""

    permission_classes = (Worker,)

    @extend_schema(responses=ReminderOut(many=True))
    def get(self, request: Request) -> Response:
        """Reminders whose time has come, oldest first."""
        return Response(_show(self))


class ResendView(View):
    """A reminder that did not arrive, once more."""

    permission_classes = (Owner,)
    without_body = ("POST", "DELETE")

    @extend_schema(request=None, responses=UndeliveredOut(many=True))
    def post(self, request: Request, delivery: int) -> Response:
        """Send it again with the next sweep; what is still undelivered comes back."""
        resend(delivery, now=timezone.now())
        return Response(present(undelivered()))


class UndeliveredView(View):
    """Reminders that did not arrive."""

    permission_classes = (Owner,)

    @extend_schema(responses=UndeliveredOut(many=True))
    def get(self, request: Request) -> Response:
        """Reminders that failed and are tried again, or were given up, the newest first."""
        return Response(present(undelivered()))


FINISH = PIECE.changes(finish_wait, WaitFinishIn, "End a wait; before it is over only with a reason.")
CORRECT = PIECE.changes(
    correct_start, WaitStartIn, "Correct when a running wait began; its times and reminders follow."
)
TAKE_BACK = PIECE.changes(take_back_end, WaitTakeBackIn, "Let an ended wait run on.")
REPLIES = {
    "acknowledge": REMINDERS.changes(
        acknowledge_reminder, ReplyIn, "Say that a reminder was seen; it does not come again."
    ),
    "snooze": REMINDERS.changes(
        snooze_reminder, SnoozeIn, "Put a reminder off until a moment that lies ahead."
    ),
    "ask-again": REMINDERS.changes(
        ask_again, ReplyIn, "Take back one's last reply to a reminder; it stands as before."
    ),
}
ROUTES = [
    view_route("bench/", "bench", BenchView),
    view_route("waits/", "waits", WaitsView),
    route("waits/<key:wait>/finish/", "wait-finish", Worker, post=FINISH),
    route("waits/<key:wait>/take-back/", "wait-take-back", Worker, post=TAKE_BACK),
    route("waits/<key:wait>/correct-start/", "wait-start", Worker, post=CORRECT),
    view_route("reminders/", "reminders", RemindersView),
    *command_routes("reminders/", Worker, REPLIES),
    view_route("reminders/undelivered/", "undelivered", UndeliveredView),
    view_route("reminders/undelivered/<key:delivery>/resend/", "resend", ResendView),
]
