"""Hours."""

from rest_framework import serializers

from jobs.api.serializers.shapes import Shape


class HoursIn(Shape):
    """Which period: what was finished from one day to another, both included."""

    since = serializers.DateField(required=False)
    until = serializers.DateField(required=False)


class SpentOut(serializers.Serializer):
    """Minutes at work."""

    count = serializers.IntegerField(help_text="Stages that were finished and stand.")
    minutes = serializers.IntegerField(help_text="Their minutes, in all.")
    redone = serializers.IntegerField(help_text="Finished attempts that were done again afterwards.")
    redone_minutes = serializers.IntegerField()


class SpentOnCommissionOut(SpentOut):
    """Minutes on one commission."""

    number = serializers.CharField()
    title = serializers.CharField()


class SpentOnKindOut(SpentOut):
    """Minutes of one kind of stage; ``kind`` is empty for a stage of one's own title."""

    kind = serializers.CharField()
    title = serializers.CharField()
    median = serializers.FloatField(allow_null=True)
    least = serializers.IntegerField(allow_null=True)
    most = serializers.IntegerField(allow_null=True)


class HoursOut(SpentOut):
    """Minutes at work in a period, by commission and by kind of stage."""

    since = serializers.DateField(allow_null=True)
    until = serializers.DateField(allow_null=True)
    commissions = SpentOnCommissionOut(many=True)
    kinds = SpentOnKindOut(many=True)
