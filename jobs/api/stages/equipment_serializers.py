"""Equipment."""

from rest_framework import serializers

from calcs.glue_up.pressure import CLAMP_KINDS
from jobs.api.kit.fields import LengthOut, TextField, Typed, Whole
from jobs.api.kit.serializer_bases import CommandIn, UnitsIn, done
from jobs.models import Equipment


class EquipmentChangeIn(CommandIn, UnitsIn):
    """Changes of some equipment; fields not given stay."""

    count = Whole(required=False)
    reach = Typed(required=False, help_text="How far a clamp opens; places have none.")
    clamp_kind = serializers.ChoiceField(
        CLAMP_KINDS,
        required=False,
        help_text="What kind of clamp; its force follows from it. Places have none.",
    )
    name = TextField(120)


class EquipmentIn(EquipmentChangeIn):
    """So many clamps of one reach, or so many places."""

    kind = serializers.ChoiceField(Equipment.Kind.values)
    count = Whole()


class RetireIn(CommandIn):
    """It goes out of use."""


class FreeClampsIn(CommandIn, UnitsIn):
    """The clamps of a stage are off."""


class HolderOut(serializers.Serializer):
    """A stage that holds clamps, or is under way in a place."""

    piece = serializers.CharField()
    stage = serializers.CharField()
    title = serializers.CharField()
    count = serializers.IntegerField()
    since = serializers.DateTimeField()


class EquipmentOut(serializers.Serializer):
    """Equipment, how much of it is free, and what holds the rest now."""

    id = serializers.IntegerField()
    kind = serializers.ChoiceField(Equipment.Kind.values)
    name = serializers.CharField()
    clamp_kind = serializers.CharField(help_text="Empty for places.")
    reach = LengthOut(allow_null=True)
    count = serializers.IntegerField()
    free = serializers.IntegerField()
    held_by = HolderOut(many=True)
    retired_at = serializers.DateTimeField(allow_null=True)
    version = serializers.IntegerField()


EquipmentDone = done("EquipmentDone", equipment=EquipmentOut(allow_null=True))
