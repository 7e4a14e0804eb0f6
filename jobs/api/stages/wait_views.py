"""Waits, reminders and the bench."""

from collections.abc import Callable
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Owner, Worker
from jobs.api.kit.view_bases import View
from jobs.api.pieces.serializers import PieceDone, WaitingOut
from jobs.api.pieces.views import shown
from jobs.api.service.history_serializers import BenchOut
from jobs.api.stages.serializers import (
    ReminderOut,
    RemindersDone,
    ReplyIn,
    SnoozeIn,
    UndeliveredOut,
    WaitFinishIn,
    WaitStartIn,
)
from jobs.domain.overviews.bench import bench, reminders_due
from jobs.domain.reminders.delivery import resend
from jobs.domain.reminders.queries import undelivered
from jobs.domain.stages.wait_commands import acknowledge_reminder, correct_start, finish_wait, snooze_reminder
from jobs.log.commands import CommandResult


class BenchView(View):
    """The bench: now."""

    permission_classes = (Worker,)

    @extend_schema(responses=BenchOut)
    def get(self, request: Request) -> Response:
        """What can be done now, what is under way, what is waiting, what must not be missed."""
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


class WaitFinishView(View):
    """The end of a wait by hand."""

    permission_classes = (Worker,)

    @extend_schema(request=WaitFinishIn, responses=PieceDone)
    def post(self, request: Request, wait: int) -> Response:
        """End a wait; before it is over only with a reason."""
        asked = self.body(WaitFinishIn)
        call, units = self.call(asked), self.units(asked)
        done = finish_wait(call, wait=wait, **asked)
        return self.done(done, "piece", lambda: shown(self, done.events[0].data["piece"], units))


class WaitStartView(View):
    """The beginning of a wait."""

    permission_classes = (Worker,)

    @extend_schema(request=WaitStartIn, responses=PieceDone)
    def post(self, request: Request, wait: int) -> Response:
        """Put right when a running wait began; its times and reminders follow."""
        asked = self.body(WaitStartIn)
        call, units = self.call(asked), self.units(asked)
        done = correct_start(call, wait=wait, **asked)
        return self.done(done, "piece", lambda: shown(self, done.events[0].data["piece"], units))


class RemindersView(View):
    """One's own reminders."""

    permission_classes = (Worker,)

    @extend_schema(responses=ReminderOut(many=True))
    def get(self, request: Request) -> Response:
        """Reminders whose time has come, oldest first."""
        return Response(mine(request))


class ResendView(View):
    """A reminder that did not arrive, once more."""

    permission_classes = (Owner,)
    without_body = ("POST", "DELETE")

    @extend_schema(request=None, responses=UndeliveredOut(many=True))
    def post(self, request: Request, delivery: int) -> Response:
        """Have it sent anew with the next sweep; what is still undelivered comes back."""
        resend(delivery, now=timezone.now())
        return Response(present(undelivered()))


class UndeliveredView(View):
    """Reminders that did not arrive."""

    permission_classes = (Owner,)

    @extend_schema(responses=UndeliveredOut(many=True))
    def get(self, request: Request) -> Response:
        """Reminders that failed and are tried again, or were given up, the newest first."""
        return Response(present(undelivered()))


class AcknowledgeView(View):
    """A reminder seen."""

    permission_classes = (Worker,)

    @extend_schema(request=ReplyIn, responses=RemindersDone)
    def post(self, request: Request) -> Response:
        """Say that a reminder was seen; it does not come again."""
        return answered(self, ReplyIn, acknowledge_reminder)


class SnoozeView(View):
    """A reminder put off."""

    permission_classes = (Worker,)

    @extend_schema(request=SnoozeIn, responses=RemindersDone)
    def post(self, request: Request) -> Response:
        """Put a reminder off until a moment that lies ahead."""
        return answered(self, SnoozeIn, snooze_reminder)


def answered(view: View, shape: type[ReplyIn], verb: Callable[..., CommandResult]) -> Response:
    asked = view.body(shape)
    done = verb(view.call(asked), person=view.request.user.id, **asked)
    return view.done(done, "reminders", lambda: mine(view.request))


def mine(request: Request) -> Any:
    return present(reminders_due(now=timezone.now(), person=request.user.id))
