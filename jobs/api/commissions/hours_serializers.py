"""Hours."""

from rest_framework import serializers

from jobs.api.kit.fields import AmountOut
from jobs.api.kit.shapes import Shape


class HoursIn(Shape):
    """The period: work finished from one day to another, both included."""

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


class OwnRateOut(serializers.Serializer):
    """Minutes of a kind of stage by what drives it, from the shop's own log."""

    kind = serializers.CharField()
    title = serializers.CharField()
    per = serializers.CharField(help_text="joint, square foot or piece")
    jobs = serializers.IntegerField(help_text="Commissions on which it rests.")
    median = AmountOut()
    least = AmountOut()
    most = AmountOut()
    is_offered = serializers.BooleanField(help_text="Whether it rests on enough jobs for a quote.")


class QuotedStageOut(serializers.Serializer):
    """Minutes of one kind of stage: quoted, spent, done again."""

    kind = serializers.CharField()
    title = serializers.CharField()
    quoted = AmountOut(allow_null=True)
    spent = serializers.IntegerField()
    redone = serializers.IntegerField()
    open = serializers.IntegerField(help_text="Stages that are not done.")
    difference = AmountOut(allow_null=True)


class QuotedHoursOut(serializers.Serializer):
    """Quoted against actual, in minutes, and in money at the rate that was quoted."""

    commission = serializers.CharField()
    quote = serializers.CharField()
    standing = serializers.CharField()
    currency = serializers.CharField()
    stages = QuotedStageOut(many=True)
    quoted = AmountOut(allow_null=True)
    in_one_sum = AmountOut(allow_null=True, help_text="Of the quoted minutes those that name no stage.")
    spent = serializers.IntegerField()
    redone = serializers.IntegerField()
    open = serializers.IntegerField()
    difference = AmountOut(allow_null=True)
    rate = AmountOut(allow_null=True)
    cost_quoted = AmountOut(allow_null=True)
    cost_spent = AmountOut(allow_null=True)
