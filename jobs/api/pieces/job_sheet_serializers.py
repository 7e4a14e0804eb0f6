"""The job sheet of a piece."""

from rest_framework import serializers

from jobs.api.kit.fields import LengthOut
from jobs.api.kit.shapes import Shape
from jobs.domain.commissions.job_sheet import SECTIONS
from jobs.models import Stage


class SectionOut(serializers.Serializer):
    """The part of one calculation. Without figures ``why`` says why there are none."""

    figures = serializers.DictField(allow_null=True)
    why = serializers.CharField(allow_blank=True)
    notes = serializers.ListField(child=serializers.CharField())
    source = serializers.ListField(child=serializers.CharField())


class MeasureOut(serializers.Serializer):
    """What is looked at or measured at a stage; limits in the base unit of its measure, lengths in 1/8 µm."""

    title = serializers.CharField()
    unit = serializers.CharField()
    least = serializers.CharField(allow_null=True)
    most = serializers.CharField(allow_null=True)


class ToTickOut(serializers.Serializer):
    """A stage in the order of the route, with what is checked at it."""

    stage = serializers.CharField()
    title = serializers.CharField()
    place = serializers.CharField()
    needs_hands = serializers.BooleanField()
    step = serializers.ChoiceField(Stage.Step.values)
    checks = serializers.ListField(child=serializers.CharField())
    measures = MeasureOut(many=True)
    notes = serializers.ListField(child=serializers.CharField())


class ToHeedOut(serializers.Serializer):
    """A danger of the work. The title is empty where a calculation names it."""

    title = serializers.CharField(allow_blank=True)
    text = serializers.CharField()
    source = serializers.CharField(allow_blank=True)


class JobSheetOut(serializers.Serializer):
    """The sheet that the bench works from. Each part was kept when the piece was last calculated."""

    piece = serializers.CharField()
    label = serializers.CharField()
    quantity = serializers.IntegerField()
    revision = serializers.IntegerField()
    species = serializers.CharField(allow_null=True)
    length = LengthOut(allow_null=True)
    width = LengthOut(allow_null=True)
    thickness = LengthOut(allow_null=True)
    edge_profile = serializers.CharField()
    joinery = serializers.CharField()
    products = serializers.ListField(child=serializers.CharField())
    checklist = ToTickOut(many=True)
    warnings = serializers.ListField(child=serializers.CharField())
    cautions = ToHeedOut(many=True)

    def get_fields(self) -> dict[str, serializers.Field]:
        return {**super().get_fields(), **{name: SectionOut() for name in SECTIONS}}


class WoodQuery(Shape):
    """How the wood of a piece is drawn."""

    small = serializers.BooleanField(default=False, help_text="A thumbnail: fewer rings, no fibre.")
