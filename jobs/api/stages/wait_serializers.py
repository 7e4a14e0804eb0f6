"""Waits, and the reminders of their times."""

from rest_framework import serializers

from jobs.api.kit.fields import Moment, TextField, Whole
from jobs.api.kit.serializer_bases import LARGEST, CommandIn, UnitsIn, done, seen_of
from jobs.domain.reminders.kinds import ANSWERED
from jobs.models import Wait


class WaitFinishIn(CommandIn, UnitsIn):
    """A wait is ended; before it is over only with a reason."""

    reason = TextField(20_000)


class WaitTakeBackIn(CommandIn):
    """The end of a wait is taken back."""


class WaitStartIn(CommandIn, UnitsIn):
    """The moment when a running wait really began."""

    since = Moment()
    reason = serializers.CharField(max_length=20_000)


class WaitOut(serializers.Serializer):
    """A running wait: when it is ready, when its window closes, and what that rests on."""

    id = serializers.IntegerField()
    kind = serializers.CharField()
    title = serializers.CharField()
    stage = serializers.CharField()
    made_by = serializers.CharField(help_text="The stage whose work is waiting: what is redone if it failed.")
    panel = serializers.CharField(help_text="The strips of its clamping, such as A-C; empty without one.")
    holds = serializers.ListField(child=serializers.CharField())
    step = serializers.ChoiceField(Wait.Step.values)
    since = serializers.DateTimeField()
    ready_at = serializers.DateTimeField(allow_null=True)
    closes_at = serializers.DateTimeField(allow_null=True)
    look_at = serializers.DateTimeField(
        allow_null=True, help_text="Squeeze-out no moment of whose window is sure: look at it from then on."
    )
    may_begin = serializers.BooleanField(help_text="It is over, or it is time to look.")
    is_over = serializers.BooleanField()
    is_missed = serializers.BooleanField()
    suspect = serializers.BooleanField()
    reason = serializers.CharField()
    first_told_at = serializers.DateTimeField(allow_null=True, help_text="Ready, as was said at the start.")
    earliest_at = serializers.DateTimeField(allow_null=True)
    likely_at = serializers.DateTimeField(allow_null=True)
    latest_at = serializers.DateTimeField(allow_null=True)
    paused = serializers.BooleanField(help_text="It stands still until it is warmer.")
    cold_at = serializers.DateTimeField(allow_null=True, help_text="When it is expected to be too cold.")
    measured_until = serializers.DateTimeField(
        allow_null=True, help_text="The air was measured until then; null where it is the shop's usual air."
    )
    basis = serializers.DictField()
    share = serializers.FloatField(allow_null=True, help_text="How far it has come, 0 to 1.")


class ReplyIn(CommandIn):
    """The reminder that is answered: of a wait, or of another subject on an occasion."""

    seen_version = seen_of("the piece that is waiting")
    wait = Whole(min_value=0, max_value=LARGEST, required=False)
    subject = TextField(40, help_text="Such as commission:2026-014, as the list of reminders has it.")
    occasion = TextField(10, help_text="Its day, as the list of reminders has it.")
    kind = serializers.ChoiceField(ANSWERED)


class SnoozeIn(ReplyIn):
    """Until when it is put off."""

    until = Moment()


class ReminderOut(serializers.Serializer):
    """A reminder whose time has come."""

    wait = serializers.IntegerField(allow_null=True)
    subject = serializers.CharField(help_text="What it is about, where that is no wait.")
    occasion = serializers.CharField(help_text="Its day, where it is about no wait.")
    kind = serializers.ChoiceField(ANSWERED)
    due_at = serializers.DateTimeField()
    title = serializers.CharField()
    about = serializers.CharField(help_text="Short number or name of what it is about.")
    line = serializers.CharField(help_text="What there is to say of it, in a few words; empty of a wait.")
    does = serializers.CharField(help_text="The word that leads to what can be done.")
    late = serializers.BooleanField()
    to_do = serializers.ListField(child=serializers.CharField(), help_text="Titles of what the wait holds.")
    piece = serializers.CharField()
    commission = serializers.CharField()
    stage = serializers.CharField()
    version = serializers.IntegerField(allow_null=True, help_text="Of the piece.")
    holds = serializers.ListField(child=serializers.CharField())
    ready_at = serializers.DateTimeField(allow_null=True)
    closes_at = serializers.DateTimeField(allow_null=True)
    page = serializers.CharField(help_text="The page that shows what it is about.")


class UndeliveredOut(serializers.Serializer):
    """A reminder by mail or push that failed, and when it is tried again."""

    id = serializers.IntegerField()
    wait = serializers.IntegerField(allow_null=True)
    task = serializers.IntegerField(allow_null=True, help_text="The safety task, where it is about one.")
    subject = serializers.CharField(help_text="What it is about, where that is no wait and no task.")
    kind = serializers.CharField()
    channel = serializers.CharField()
    title = serializers.CharField()
    piece = serializers.CharField(help_text="Or the number of the commission or invoice it is about.")
    person = serializers.CharField()
    due_at = serializers.DateTimeField()
    tries = serializers.IntegerField()
    next_at = serializers.DateTimeField(allow_null=True)
    given_up = serializers.BooleanField()
    error = serializers.CharField()


RemindersDone = done("RemindersDone", reminders=ReminderOut(many=True))
