"""Dates outside the shop, and who does what."""

from rest_framework import serializers

from jobs.api.kit.fields import TextField, Whole
from jobs.api.kit.serializer_bases import CommandIn, UnitsIn, done
from jobs.models import Appointment


class AppointmentChangeIn(CommandIn):
    """All that is said of a date outside the shop."""

    kind = serializers.ChoiceField(Appointment.Kind.values)
    day = serializers.DateField()
    at = serializers.CharField(
        required=False, allow_blank=True, max_length=5, help_text="A clock such as 10:30; empty for all day."
    )
    minutes = Whole(required=False, allow_null=True, help_text="How long it takes; usual for its kind.")
    place = TextField(400)
    note = TextField(2000)
    hands = Whole(required=False, help_text="How many people it needs.")
    people = serializers.ListField(child=serializers.CharField(max_length=40), required=False)
    tell_client = serializers.BooleanField(
        required=False, help_text="Tell the client this date, by mail and on the client's page."
    )
    anyway = serializers.BooleanField(
        required=False, help_text="It is meant, though the shop is closed or the client takes nothing then."
    )


class AppointmentIn(AppointmentChangeIn):
    """A new date outside the shop, of a commission or of the shop itself."""

    commission = serializers.CharField(required=False, allow_blank=True, max_length=20)


class AppointmentEndIn(CommandIn):
    """The date was kept."""


class AppointmentCancelIn(CommandIn):
    """The date is canceled."""

    reason = TextField(2000)


class StageGiveIn(CommandIn, UnitsIn):
    """Who does a stage; empty for anyone."""

    person = serializers.CharField(required=False, allow_blank=True, max_length=40)


class StagePinIn(CommandIn, UnitsIn):
    """What to fix of a stage in the plan; one of the three at least."""

    day = serializers.DateField(required=False, help_text="The day on which it begins.")
    person = serializers.CharField(required=False, max_length=40, help_text="The id of who does it.")
    first = serializers.BooleanField(required=False, help_text="Whether it comes before other work.")


class StageUnpinIn(CommandIn, UnitsIn):
    """Nothing but the stage."""


class WhoOut(serializers.Serializer):
    """Somebody who goes."""

    id = serializers.CharField()
    name = serializers.CharField()


class AppointmentOut(serializers.Serializer):
    """A date outside the shop."""

    id = serializers.IntegerField()
    kind = serializers.ChoiceField(Appointment.Kind.values)
    day = serializers.DateField()
    starts_at = serializers.DateTimeField(allow_null=True)
    ends_at = serializers.DateTimeField(allow_null=True)
    minutes = serializers.IntegerField(allow_null=True)
    place = serializers.CharField()
    note = serializers.CharField()
    hands = serializers.IntegerField()
    people = WhoOut(many=True)
    is_told = serializers.BooleanField()
    step = serializers.ChoiceField(Appointment.Step.values)
    reason = serializers.CharField()
    commission = serializers.CharField()
    commission_title = serializers.CharField()
    client = serializers.CharField()
    version = serializers.IntegerField()


AppointmentDone = done("AppointmentDone", appointment=AppointmentOut(allow_null=True))
