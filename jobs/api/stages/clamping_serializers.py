"""Clampings of a glue-up, and the joints that were closed in one."""

from rest_framework import serializers

from jobs.api.kit.fields import Moment
from jobs.domain.stages.glue_today import LONGEST_JOINT


class JointClosedIn(serializers.Serializer):
    """A joint of a glue-up, and when it was closed."""

    joint = serializers.CharField(max_length=LONGEST_JOINT, help_text="The strips that meet in it: A-B.")
    at = Moment()


class JointClosedOut(serializers.Serializer):
    """A joint that was closed: how long after the first glue, and how much too late."""

    joint = serializers.CharField()
    at = serializers.DateTimeField()
    after_s = serializers.IntegerField(help_text="Seconds since the first glue.")
    late_s = serializers.IntegerField(help_text="Seconds past the open time; 0 in time.")
    to_do = serializers.CharField(help_text="What to do about a joint that was closed too late, or empty.")


class ClosingsOut(serializers.Serializer):
    """When the joints of a glue-up were closed."""

    glue_on = serializers.DateTimeField()
    open_s = serializers.IntegerField(allow_null=True, help_text="The open time in the air of then.")
    joints = JointClosedOut(many=True)


class ClampingsOut(serializers.Serializer):
    """A glue-up that the open time does not allow in one go."""

    piece = serializers.CharField()
    clampings = serializers.IntegerField(help_text="As many as the calculation says.")
    glue_ups = serializers.IntegerField(help_text="As many as the route has.")
    joints = serializers.IntegerField()
    joints_at_once = serializers.IntegerField()
    needed_s = serializers.IntegerField(help_text="For all joints in one go.")
    open_s = serializers.IntegerField(help_text="How long the glue stays open.")
    allowed_s = serializers.IntegerField(help_text="Of the open time, until the last joint is closed.")
    clamped_s = serializers.IntegerField(help_text="For all joints, until the clamps are tight.")
    closed_s = serializers.IntegerField(help_text="The closed time of the glue.")
    dry_fit = serializers.CharField(help_text="The timed dry fit of the piece, or empty.")
    order = serializers.ListField(child=serializers.CharField())
    ways = serializers.ListField(child=serializers.CharField(), help_text="Changes that save a clamping.")
    air = serializers.CharField(help_text="The measured air that it is calculated for, or empty.")
    words = serializers.CharField(help_text="The times in a sentence.")


class ClampingOut(serializers.Serializer):
    """The clamping that a stage belongs to, where a glue-up takes several."""

    number = serializers.IntegerField()
    of = serializers.IntegerField(help_text="As many as the glue-up takes.")
    joins = serializers.ListField(child=serializers.CharField(), help_text="Strips and sub-assemblies.")
    makes = serializers.CharField()
    planed = serializers.BooleanField(help_text="Whether its sub-assemblies go through the shop's planer.")
