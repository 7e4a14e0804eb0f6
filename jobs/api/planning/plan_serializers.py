"""The published plan as the API says it."""

from rest_framework import serializers


class PlannedWorkOut(serializers.Serializer):
    """One attended stretch of a stage."""

    commission = serializers.CharField()
    piece = serializers.CharField()
    stage = serializers.CharField()
    do = serializers.CharField(help_text="What to do, verb first.")
    label = serializers.CharField(help_text="What the piece is called.")
    begins = serializers.DateTimeField()
    ends = serializers.DateTimeField()
    people = serializers.ListField(child=serializers.CharField(), help_text="Who does it, by id.")
    part = serializers.IntegerField(help_text="A stage longer than half a day has several parts.")
    parts = serializers.IntegerField()
    place = serializers.CharField()
    maybe = serializers.BooleanField(help_text="Work of a commission that is only quoted.")
    pinned = serializers.BooleanField(help_text="Fixed by the maker.")
    why = serializers.CharField(help_text="Why it stands there, as a key; empty where nothing is said.")
    about = serializers.CharField(help_text="What the reason is about.")


class PlannedWaitOut(serializers.Serializer):
    """A wait between two stages, and what it holds."""

    commission = serializers.CharField()
    piece = serializers.CharField()
    stage = serializers.CharField()
    kind = serializers.CharField()
    title = serializers.CharField()
    begins = serializers.DateTimeField()
    likely = serializers.DateTimeField(help_text="When it is most likely over.")
    ends = serializers.DateTimeField(help_text="When it is over at the cautious end of its estimate.")
    closes = serializers.DateTimeField(allow_null=True, help_text="The end of its window.")
    place = serializers.CharField(help_text="What it holds, or empty.")
    maybe = serializers.BooleanField()


class PlannedFinishOut(serializers.Serializer):
    """When a commission is ready by the plan."""

    commission = serializers.CharField()
    ready_on = serializers.DateField()
    in_half = serializers.DateField(allow_null=True, help_text="Ready by then 1 time in 2.")
    in_eight_of_ten = serializers.DateField(allow_null=True, help_text="Ready by then 8 times in 10.")
    in_nineteen_of_twenty = serializers.DateField(allow_null=True, help_text="Ready by then 19 times in 20.")
    promised = serializers.DateField(allow_null=True)
    maybe = serializers.BooleanField()
    held_by = serializers.ListField(child=serializers.CharField(), help_text="What keeps it: kind and name.")
    risk_since = serializers.DateField(allow_null=True, help_text="Since when the promise is at risk.")
    helps = serializers.ListField(child=serializers.CharField(), help_text="What would help most.")


class NotPlannedOut(serializers.Serializer):
    """A stage that no plan can hold."""

    commission = serializers.CharField()
    piece = serializers.CharField()
    stage = serializers.CharField()
    why = serializers.CharField()


class MovedOut(serializers.Serializer):
    """What moved by an hour or more since yesterday; without a stage, the day a commission is ready."""

    commission = serializers.CharField()
    piece = serializers.CharField()
    stage = serializers.CharField()
    was = serializers.DateTimeField()
    becomes = serializers.DateTimeField()
    why = serializers.CharField()


class PlanOut(serializers.Serializer):
    """The last good plan. Without one ``made_at`` is null and the lists are empty."""

    made_at = serializers.DateTimeField(allow_null=True)
    trouble = serializers.CharField(help_text="Why a newer plan was not taken; empty where it was.")
    coarse_from = serializers.DateField(allow_null=True, help_text="From then on it counts in half-days.")
    work = PlannedWorkOut(many=True)
    waits = PlannedWaitOut(many=True)
    finishes = PlannedFinishOut(many=True)
    not_planned = NotPlannedOut(many=True)
    moved = MovedOut(many=True)
