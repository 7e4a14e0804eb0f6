"""Safety tasks."""

from rest_framework import serializers

from jobs.api.kit.fields import Moment, TextField
from jobs.api.kit.serializer_bases import CommandIn, done
from jobs.models import SafetyTask


class SettleIn(CommandIn):
    """The answer to a safety task: what was done."""

    how = TextField(2000, required=True, help_text="In words: a mere nod is not enough.")


class PutOffIn(CommandIn):
    """Until when one's own first reminder is put off: never past closing time."""

    until = Moment()


class CautionOut(serializers.Serializer):
    """The caution, and who says so."""

    title = serializers.CharField()
    text = serializers.CharField()
    source = serializers.CharField()


class SafetyTaskOut(serializers.Serializer):
    """A task that stays open until somebody says what was done."""

    id = serializers.IntegerField()
    kind = serializers.ChoiceField(SafetyTask.Kind.values)
    question = serializers.CharField()
    piece = serializers.CharField()
    label = serializers.CharField()
    commission = serializers.CharField()
    commission_title = serializers.CharField()
    stage = serializers.CharField()
    stage_title = serializers.CharField()
    opened_at = serializers.DateTimeField()
    due_at = serializers.DateTimeField(help_text="When it is asked about first, or again where put off.")
    closing_at = serializers.DateTimeField(help_text="When it is asked about again whatever was put off.")
    is_due = serializers.BooleanField()
    can_be_put_off = serializers.BooleanField()
    caution = CautionOut()


SafetyDone = done("SafetyDone", tasks=SafetyTaskOut(many=True))
