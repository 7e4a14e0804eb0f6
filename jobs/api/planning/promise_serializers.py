"""What the plan is asked for, and what it says: promises, changes, how promises were kept."""

from rest_framework import serializers

from jobs.api.kit.fields import Exact, Typed, Whole
from jobs.api.kit.serializer_bases import UnitsIn
from jobs.api.kit.shapes import Shape
from jobs.domain.promising.asked import BUY, RACK


class PromiseIn(Shape):
    """What is to be promised: a commission's own pieces, or a piece like an earlier one."""

    commission = serializers.CharField(required=False, max_length=20)
    like = serializers.CharField(required=False, max_length=26, help_text="The number of an earlier piece.")
    wood = serializers.ChoiceField((RACK, BUY), required=False, help_text="Settled on the rack, or to buy.")
    finish = serializers.CharField(required=False, max_length=60, help_text="The key of another finish.")
    hours = Exact(
        max_digits=8, decimal_places=2, required=False, help_text="Hours of work in place of the usual ones."
    )
    day = serializers.DateField(required=False, help_text="A day that is asked for.")


class WhatIfIn(UnitsIn):
    """What could change; at least one of them."""

    away = serializers.CharField(required=False, max_length=40, help_text="The id of who is away.")
    away_from = serializers.DateField(required=False)
    away_until = serializers.DateField(required=False)
    first = serializers.CharField(required=False, max_length=20, help_text="A commission before all others.")
    overtime_on = serializers.DateField(required=False)
    overtime_hours = Whole(required=False)
    overtime_by = serializers.CharField(required=False, max_length=40, help_text="Everybody where left out.")
    glue = serializers.CharField(required=False, max_length=60, help_text="The key of another glue.")
    glue_for = serializers.CharField(required=False, max_length=20)
    clamps = Whole(required=False, help_text="Clamps that are rented.")
    reach = Typed(required=False, help_text="How far each of them reaches.")
    accept = serializers.CharField(required=False, max_length=20, help_text="A commission to accept.")
    accept_for = serializers.DateField(required=False)


class HoldingOut(serializers.Serializer):
    """What stands before a commission."""

    clamps_from = serializers.DateField(allow_null=True)
    room = serializers.DictField(child=serializers.DateField(), help_text="Until when others are in it.")
    hours_left = serializers.FloatField(help_text="Hours a week that nothing is planned for.")
    hours_from = serializers.DateField(allow_null=True)


class HelpOut(serializers.Serializer):
    """The smallest change that keeps a day: evenings, saturday, clamps or first."""

    kind = serializers.CharField()
    about = serializers.CharField()
    ready_on = serializers.DateField()
    moves = serializers.ListField(child=serializers.CharField(), help_text="Promises that are then not kept.")


class CannotOut(serializers.Serializer):
    """Why a day is not kept, and what would help."""

    day = serializers.DateField()
    ready_on = serializers.DateField()
    proof = serializers.CharField(
        allow_blank=True,
        help_text="alone: its own work lasts longer; beside others: unless another promise gives way.",
    )
    help = HelpOut(allow_null=True)


class PlanLeftOutOut(serializers.Serializer):
    """A stage that no plan can hold, and why."""

    commission = serializers.CharField()
    piece = serializers.CharField()
    stage = serializers.CharField()
    why = serializers.CharField()


class PromiseDaysOut(serializers.Serializer):
    """When something can be promised: days in odds of 1 in 2, 8 in 10, 19 in 20."""

    commission = serializers.CharField()
    in_half = serializers.DateField()
    in_eight_of_ten = serializers.DateField()
    in_nineteen_of_twenty = serializers.DateField()
    proposed = serializers.DateField(help_text="The 8 in 10 day with the shop's margin.")
    hours = serializers.DecimalField(max_digits=8, decimal_places=2)
    held_by = serializers.ListField(child=serializers.CharField(), help_text="A kind and a name.")
    holding = HoldingOut()
    not_planned = PlanLeftOutOut(many=True)
    chance = serializers.FloatField(allow_null=True, help_text="Of the day asked for, from 0 to 1.")
    cannot = CannotOut(allow_null=True)


class EffectOut(serializers.Serializer):
    """When a commission is ready by the present plan and by the changed one."""

    commission = serializers.CharField()
    promised = serializers.DateField(allow_null=True)
    before = serializers.DateField(allow_null=True, help_text="Expected by the published plan.")
    after = serializers.DateField(allow_null=True, help_text="Expected with the changes.")
    days = serializers.IntegerField(help_text="Days later; negative where earlier.")
    days_late = serializers.IntegerField()
    is_broken = serializers.BooleanField(help_text="A promise that only the change breaks.")


class WhatIfOut(serializers.Serializer):
    """The effects of a change. Nothing is saved."""

    effects = EffectOut(many=True)
    not_planned = PlanLeftOutOut(many=True)


class SharesOut(serializers.Serializer):
    """How many promises are in, were kept, and were ready by each day that was told."""

    promises = serializers.IntegerField()
    kept = serializers.IntegerField()
    told = serializers.IntegerField()
    by_half = serializers.IntegerField()
    by_eight_of_ten = serializers.IntegerField()
    by_nineteen_of_twenty = serializers.IntegerField()


class ComparedOut(serializers.Serializer):
    """Minutes of work planned and done, by kind of stage or by the Monday of a week."""

    about = serializers.CharField()
    stages = serializers.IntegerField()
    planned_min = serializers.IntegerField()
    done_min = serializers.IntegerField()


class LearnedOut(serializers.Serializer):
    """How promises and plans were kept."""

    shares = SharesOut(allow_null=True, help_text="From ten promises with odds on.")
    kinds = ComparedOut(many=True)
    weeks = ComparedOut(many=True)
