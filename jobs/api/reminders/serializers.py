"""Preferences for reminders, and push addresses."""

from rest_framework import serializers

from jobs.api.kit.fields import TextField, Whole
from jobs.api.kit.shapes import Shape
from jobs.domain.reminders.kinds import KINDS
from jobs.domain.reminders.preferences import LONGEST_LEAD_MIN, LONGEST_REPEAT_MIN

KIND_CHOICES = [(key, kind.title) for key, kind in KINDS.items()]


class WishIn(Shape):
    """The ways by which one kind of reminder reaches you; fields not given stay."""

    kind = serializers.ChoiceField(KIND_CHOICES)
    by_mail = serializers.BooleanField(required=False)
    by_push = serializers.BooleanField(required=False)
    lead_min = Whole(
        required=False, min_value=0, max_value=LONGEST_LEAD_MIN, help_text="Minutes before its time."
    )
    may_wake = serializers.BooleanField(required=False, help_text="In quiet hours too.")
    repeat_min = Whole(
        required=False,
        min_value=0,
        max_value=LONGEST_REPEAT_MIN,
        help_text="Again every so many minutes until it is answered, a few times; 0: told once.",
    )


class WishOut(serializers.Serializer):
    """The ways by which one kind of reminder reaches you. The screen shows all of them."""

    kind = serializers.ChoiceField(KIND_CHOICES)
    by_mail = serializers.BooleanField()
    by_push = serializers.BooleanField()
    lead_min = serializers.IntegerField()
    may_wake = serializers.BooleanField()
    repeat_min = serializers.IntegerField()


class PushIn(Shape):
    """An address for pushes: an Apprise URL."""

    url = serializers.CharField(max_length=2000, write_only=True)
    label = TextField(80, help_text="What it is called, since the address is not shown again.")


class PushOut(serializers.Serializer):
    """An address for pushes; only its scheme is shown."""

    id = serializers.IntegerField()
    label = serializers.CharField()
    scheme = serializers.CharField()
    added_at = serializers.DateTimeField()
    sent_at = serializers.DateTimeField(allow_null=True)
    error = serializers.CharField(help_text="Why the last push did not go out, or empty.")
