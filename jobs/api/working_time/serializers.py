"""Hours of people, days off, holidays, a client's days, how firm a promise is."""

from rest_framework import serializers

from jobs.api.kit.fields import TextField
from jobs.api.kit.serializer_bases import CommandIn, done
from jobs.domain.working_time.abilities import LIMITS, WORK
from jobs.domain.working_time.clocks import DAYS, MOST_SPANS
from jobs.domain.working_time.commands import LONGEST_REASON
from jobs.domain.working_time.promises import WEIGHTS


def _clock(says: str) -> serializers.CharField:
    return serializers.CharField(required=False, allow_blank=True, max_length=5, help_text=says)


def _week(says: str) -> serializers.ListField:
    span = serializers.ListField(child=serializers.CharField(max_length=5), min_length=2, max_length=2)
    day = serializers.ListField(child=span, max_length=MOST_SPANS)
    return serializers.ListField(
        child=day, required=False, allow_null=True, min_length=len(DAYS), max_length=len(DAYS), help_text=says
    )


class WorkingHoursIn(CommandIn):
    """The hours of a person; all that is said replaces what stood there."""

    week = _week(
        "Seven days from Monday on, each with up to two spans such as ['08:00', '12:00']; null or left out: "
        "the usual hours of the shop."
    )
    unwanted = _week("The same, up to one span a day: worked only where a promise needs it.")
    back_until = _clock("Until when the person may come back after work to scrape glue; empty: never.")
    limits = serializers.DictField(
        child=serializers.ChoiceField(LIMITS), required=False,
        help_text=f"Work that the person does not do ('no') or not alone, of: {', '.join(WORK)}.",
    )  # fmt: skip


class DayOffIn(CommandIn):
    """Days on which a person is away, or on which the shop is closed."""

    who = serializers.CharField(
        required=False, allow_blank=True, max_length=40, help_text="A person's id; empty: the whole shop."
    )
    first = serializers.DateField()
    last = serializers.DateField(required=False, allow_null=True, help_text="Left out: one day.")
    begins = _clock("From when on a single day, such as 13:00; empty: from its beginning.")
    ends = _clock("Until when on a single day; empty: until its end.")
    reason = TextField(LONGEST_REASON)


class BlackoutIn(CommandIn):
    """Days on which the client of a commission takes no delivery and no visit."""

    first = serializers.DateField()
    last = serializers.DateField(required=False, allow_null=True, help_text="Left out: one day.")
    reason = TextField(LONGEST_REASON)


class FirmnessIn(CommandIn):
    """How firm the promised day of a commission is."""

    firmness = serializers.ChoiceField(
        list(WEIGHTS), help_text="A late day counts once (usual), twice (important) or four times (must)."
    )


class WorkingHoursOut(serializers.Serializer):
    """The hours of a person."""

    person = serializers.CharField()
    name = serializers.CharField()
    is_usual = serializers.BooleanField(help_text="Whether they are the usual hours of the shop.")
    week = serializers.ListField(help_text="Seven days from Monday on, each with its spans.")
    unwanted = serializers.ListField()
    back_until = serializers.CharField()
    limits = serializers.DictField(child=serializers.CharField())
    minutes_a_week = serializers.IntegerField()
    version = serializers.IntegerField()


class DayOffOut(serializers.Serializer):
    """Days off of a person; of the whole shop where ``person`` is empty."""

    id = serializers.IntegerField()
    person = serializers.CharField()
    name = serializers.CharField()
    first = serializers.DateField()
    last = serializers.DateField()
    begins = serializers.CharField()
    ends = serializers.CharField()
    reason = serializers.CharField()
    version = serializers.IntegerField()


class BlackoutOut(serializers.Serializer):
    """Days on which a client takes nothing."""

    id = serializers.IntegerField()
    commission = serializers.CharField()
    commission_title = serializers.CharField()
    first = serializers.DateField()
    last = serializers.DateField()
    reason = serializers.CharField()
    version = serializers.IntegerField()


class FirmPromiseOut(serializers.Serializer):
    """A commission whose promised day counts more than usual."""

    commission = serializers.CharField()
    commission_title = serializers.CharField()
    promise_on = serializers.DateField(allow_null=True)
    firmness = serializers.ChoiceField(list(WEIGHTS))


class WorkingTimeOut(serializers.Serializer):
    """When people work, and on which days nobody does."""

    interruptions_pct = serializers.CharField(help_text="Set with the shop's settings.")
    people = WorkingHoursOut(many=True)
    days_off = DayOffOut(many=True)
    blackouts = BlackoutOut(many=True)
    firm_promises = FirmPromiseOut(many=True)


class FirmnessOut(serializers.Serializer):
    """How firm the promised day of a commission is, and on which days its client takes nothing."""

    commission = serializers.CharField()
    firmness = serializers.ChoiceField(list(WEIGHTS))
    blackouts = BlackoutOut(many=True)


WorkingHoursDone = done("WorkingHoursDone", hours=WorkingHoursOut(allow_null=True))
DayOffDone = done("DayOffDone", day_off=DayOffOut(allow_null=True))
PromiseDone = done("PromiseDone", promise=FirmnessOut(allow_null=True))
