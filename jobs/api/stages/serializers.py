"""Stages and their gates."""

from rest_framework import serializers

from jobs.api.kit.fields import Moment, TextField, Typed, Whole
from jobs.api.kit.serializer_bases import CommandIn, UnitsIn
from jobs.api.stages.clamping_serializers import ClampingOut, ClampingsOut, ClosingsOut, JointClosedIn
from jobs.domain.routes.schema import ONCE_PER
from jobs.domain.stages.rework import MOST_JOINTS
from jobs.models import Stage


class _Judged(CommandIn, UnitsIn):
    measured = serializers.DictField(
        child=Typed(), required=False, help_text="What was measured, by the gate's key."
    )
    override = serializers.DictField(
        child=serializers.CharField(max_length=2000),
        required=False,
        help_text="The reason why a gate is passed all the same, by its key; wait:<kind>, window:<kind>, "
        "clampings.",
    )


class _MaybeLongAgo(CommandIn):
    long_ago = serializers.BooleanField(
        required=False, help_text="It happened then: before the commission, or weeks back."
    )


class StageStartIn(_Judged, _MaybeLongAgo):
    """The start of a stage."""

    clamps = serializers.DictField(
        child=Whole(), required=False, help_text="How many clamps it takes, by their id."
    )


class StageFinishIn(_Judged, _MaybeLongAgo):
    """The end of a stage."""

    minutes = Whole(required=False, help_text="Minutes at work; else since the start.")
    remark = TextField(20_000)
    glue_on = Moment(required=False, help_text="At the clamps: when the first glue was on.")
    joints = JointClosedIn(many=True, required=False, help_text="At the clamps: in the order of closing.")


class StageDoIn(_Judged, _MaybeLongAgo):
    """The start and the end of a stage, said at once."""

    minutes = Whole(required=False, help_text="Minutes at work; unknown where left out.")
    remark = TextField(20_000)


class StageTimeIn(CommandIn, UnitsIn):
    """How long a finished stage took."""

    minutes = Whole()


class ThenOut(serializers.Serializer):
    """A wait that begins as the stage is finished."""

    title = serializers.CharField()
    seconds = serializers.IntegerField(help_text="As long as it will last; 0 where nobody can say.")


class StageCardOut(serializers.Serializer):
    """What the card of a stage says beside the stage."""

    minutes = serializers.IntegerField(allow_null=True, help_text="How long such a stage usually takes.")
    then = ThenOut(many=True)
    known = serializers.DictField(
        child=serializers.DictField(),
        help_text="Measurements that the shop knows already, by gate: value, from, at, holds.",
    )
    met = serializers.ListField(
        child=serializers.CharField(), help_text="Cautions that a stage begun earlier has shown."
    )


class StagePutBackIn(CommandIn, UnitsIn):
    """The start is undone."""


class StageReopenIn(CommandIn, UnitsIn):
    """A finished stage is under way again."""

    reason = serializers.CharField(max_length=20_000)


class StagePauseIn(CommandIn, UnitsIn):
    """The clock of a stage stops, or goes on."""


class StageSkipIn(_MaybeLongAgo, UnitsIn):
    """A planned stage is left out on this piece."""

    reason = serializers.CharField(max_length=20_000)


class StageRedoIn(CommandIn, UnitsIn):
    """A stage and all that followed is done again, each as a new attempt."""

    reason = serializers.CharField(max_length=20_000)
    joints_ripped = Whole(
        required=False,
        min_value=0,
        max_value=MOST_JOINTS,
        help_text="Joints ripped apart and jointed again: each costs width.",
    )


class StageCorrectIn(CommandIn, UnitsIn):
    """A mistaken measurement, corrected."""

    gate = serializers.CharField(max_length=60, help_text="The gate that asked for it, by its key.")
    value = Typed()
    reason = serializers.CharField(max_length=20_000)
    override = TextField(2000, help_text="Why the value is taken although it is outside its limits.")


class StageMeasureIn(CommandIn, UnitsIn):
    """A measurement that was left open at the clamps."""

    gate = serializers.CharField(max_length=60, help_text="The gate that still asks for it, by its key.")
    value = Typed(required=False, help_text="None where nobody knows it; that takes a reason in override.")
    override = TextField(2000, help_text="Why it is outside its limits, or not known.")


class AttemptOut(serializers.Serializer):
    """An attempt at a stage before it was redone, and the reason."""

    number = serializers.IntegerField()
    started_at = serializers.DateTimeField(allow_null=True)
    started_by = serializers.CharField()
    finished_at = serializers.DateTimeField(allow_null=True)
    finished_by = serializers.CharField()
    minutes = serializers.IntegerField(allow_null=True)
    measured = serializers.DictField(child=serializers.DictField())
    overrides = serializers.ListField(child=serializers.CharField())
    closings = ClosingsOut(allow_null=True)
    remark = serializers.CharField()
    redone_at = serializers.DateTimeField()
    reason = serializers.CharField()


class StageOut(serializers.Serializer):
    """One operation on a piece, as it stands."""

    key = serializers.CharField()
    title = serializers.CharField()
    do = serializers.CharField(help_text="What to do, verb first.")
    place = serializers.CharField()
    after = serializers.ListField(child=serializers.CharField())
    passive = serializers.BooleanField()
    owner_only = serializers.BooleanField()
    marks = serializers.CharField(help_text="The step of the commission that its end marks, or empty.")
    once_per = serializers.ChoiceField(
        sorted(ONCE_PER), help_text="Where commission: finishing it finishes it on every piece that is ready."
    )
    can_be_skipped = serializers.BooleanField()
    step = serializers.ChoiceField(Stage.Step.values)
    standing = serializers.CharField(help_text="The step, or ready or held for a planned one that is open.")
    started_at = serializers.DateTimeField(allow_null=True)
    started_by = serializers.CharField()
    given_to = serializers.CharField(help_text="The person that it is given to, or empty.")
    finished_at = serializers.DateTimeField(allow_null=True)
    finished_by = serializers.CharField()
    paused = serializers.BooleanField()
    worked_min = serializers.IntegerField(allow_null=True, help_text="Minutes so far of a stage under way.")
    minutes = serializers.IntegerField(allow_null=True)
    attempt = serializers.IntegerField(help_text="1, or more where the stage was redone.")
    attempts = AttemptOut(many=True, help_text="The earlier ones, as they went.")
    measured = serializers.DictField(child=serializers.DictField())
    overrides = serializers.ListField(child=serializers.CharField())
    remark = serializers.CharField()
    gates = serializers.ListField(child=serializers.DictField())
    notes = serializers.ListField(child=serializers.CharField())
    cautions = serializers.ListField(child=serializers.DictField())
    calcs = serializers.DictField(child=serializers.CharField())
    held_by = serializers.ListField(child=serializers.IntegerField())
    missing = serializers.ListField(child=serializers.CharField())
    clamping = ClampingOut(allow_null=True)
    clampings = ClampingsOut(
        many=True, help_text="Decide before it starts: override clampings with a reason, or change something."
    )
    still_asked = serializers.ListField(
        child=serializers.CharField(), help_text="Gates left open at the clamps, to be answered now."
    )
    closings = ClosingsOut(
        allow_null=True, help_text="Joints closed one by one; null where nobody tapped them."
    )
