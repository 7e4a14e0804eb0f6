"""The log as a feed, the bench, and pages about the API itself."""

from rest_framework import serializers

from jobs.api.commissions.serializers import OfficeOut
from jobs.api.kit.fields import Whole
from jobs.api.kit.serializer_bases import LARGEST
from jobs.api.kit.shapes import Shape
from jobs.api.pieces.serializers import CanDoOut, CardOut, StillAskedOut, WaitingOut, WoodOut
from jobs.api.stages.safety_serializers import SafetyTaskOut
from jobs.api.stages.wait_serializers import ReminderOut
from jobs.domain.overviews.ranking import Why
from jobs.domain.routes.schema import ONCE_PER
from jobs.models import Appointment, Approval

USUAL_EVENTS, MOST_EVENTS = 100, 1000


class EventsIn(Shape):
    """The events to list: those after a number, of one stream where it is named."""

    after = Whole(required=False, min_value=0, max_value=LARGEST)
    limit = Whole(required=False, min_value=1, max_value=MOST_EVENTS)
    stream = serializers.CharField(required=False, max_length=80)


class EventOut(serializers.Serializer):
    """An event as it is stored and hashed: lengths in 1/8 micrometre, personal texts as their hash."""

    seq = serializers.IntegerField()
    kind = serializers.CharField()
    version = serializers.IntegerField()
    stream = serializers.CharField()
    data = serializers.DictField()
    actor = serializers.CharField()
    occurred_at = serializers.CharField()
    recorded_at = serializers.CharField()
    command_id = serializers.UUIDField()
    prev_hash = serializers.CharField()
    hash = serializers.CharField()


class EventsOut(serializers.Serializer):
    """Events in their order; ``last`` is what to ask after next, ``head`` the newest there is."""

    events = EventOut(many=True)
    last = serializers.IntegerField()
    head = serializers.IntegerField()


class ToldOut(serializers.Serializer):
    """Something that happened on a commission."""

    seq = serializers.IntegerField()
    kind = serializers.CharField()
    piece = serializers.CharField()
    stage = serializers.CharField()
    actor = serializers.CharField()
    by = serializers.CharField(help_text="The name of who acted.")
    occurred_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()


class LogOut(serializers.Serializer):
    """The chain, verified just now."""

    count = serializers.IntegerField()
    head_hash = serializers.CharField()
    texts = serializers.IntegerField(help_text="Texts beside the log; each is what its event saw.")


class OfficeCardOut(OfficeOut):
    """A task that the office can do now on a commission."""

    commission = serializers.CharField()
    commission_title = serializers.CharField()
    client = serializers.CharField()
    promise_on = serializers.DateField(allow_null=True)


class AirNowOut(serializers.Serializer):
    """The air of a place, as measured in the last hours."""

    place = serializers.CharField()
    temp_c = serializers.FloatField()
    rh_pct = serializers.FloatField(allow_null=True)


class JobOut(serializers.Serializer):
    """A job of the bench, with the reason for its place in the order."""

    kind = serializers.ChoiceField(["stage", "measure", "wait", "safety", "office", "appointment"])
    why = serializers.ChoiceField([why.word for why in Why], help_text="The most pressing first.")
    commission = serializers.CharField()
    commission_title = serializers.CharField()
    client = serializers.CharField()
    promise_on = serializers.DateField(allow_null=True)
    piece = serializers.CharField()
    label = serializers.CharField()
    wood = WoodOut(allow_null=True)
    stage = serializers.CharField()
    title = serializers.CharField()
    do = serializers.CharField(help_text="What to do, verb first.")
    started_at = serializers.DateTimeField(allow_null=True)
    started_by = serializers.CharField()
    paused = serializers.BooleanField()
    once_per = serializers.ChoiceField(sorted(ONCE_PER))
    opens_at = serializers.DateTimeField(allow_null=True, help_text="From then on, where that lies ahead.")
    closes_at = serializers.DateTimeField(allow_null=True, help_text="Until then.")
    missed = serializers.BooleanField()
    frees_clamps = serializers.BooleanField()
    unlocks_h = serializers.FloatField(help_text="Hours of waiting that begin as it is finished.")
    minutes = serializers.IntegerField(allow_null=True, help_text="How long it usually takes here.")
    worked_min = serializers.IntegerField(allow_null=True, help_text="So far, of what is under way.")
    wait = serializers.IntegerField(allow_null=True)
    wait_kind = serializers.CharField()
    asks = serializers.ListField(child=serializers.CharField(), help_text="What is still to be measured.")
    task = serializers.IntegerField(allow_null=True)
    offer = serializers.CharField()
    paper = serializers.CharField(help_text="The invoice that it is about, or empty.")
    given_to = serializers.CharField(help_text="The person that a stage is given to, or empty.")
    appointment = serializers.IntegerField(allow_null=True)
    starts_at = serializers.DateTimeField(allow_null=True, help_text="Of a date outside the shop.")
    day = serializers.DateField(allow_null=True, help_text="Of a date outside the shop.")
    planned_at = serializers.DateTimeField(allow_null=True, help_text="When the plan has it today.")
    planned_for = serializers.ListField(child=serializers.CharField(), help_text="Whom the plan has for it.")
    plan_why = serializers.CharField(help_text="Why it is planned then, as a key.")
    plan_about = serializers.CharField(help_text="What that is about.")
    pinned = serializers.BooleanField(help_text="Whether the maker fixed it.")


class QuoteOutOut(serializers.Serializer):
    """A quote that lies with a client."""

    commission = serializers.CharField()
    commission_title = serializers.CharField()
    client = serializers.CharField()
    offer = serializers.CharField()
    sent_at = serializers.DateTimeField()
    valid_until = serializers.DateField(allow_null=True)


class ToApproveOut(serializers.Serializer):
    """A drawing or a sample that lies with a client to approve."""

    commission = serializers.CharField()
    piece = serializers.CharField()
    label = serializers.CharField()
    what = serializers.ChoiceField(Approval.What.values)
    asked_at = serializers.DateTimeField()


class PromiseOut(serializers.Serializer):
    """A commission that is promised and not delivered."""

    promise_on = serializers.DateField()
    commission = serializers.CharField()
    commission_title = serializers.CharField()


class DateOut(serializers.Serializer):
    """A planned date outside the shop."""

    id = serializers.IntegerField()
    kind = serializers.ChoiceField(Appointment.Kind.values)
    day = serializers.DateField()
    starts_at = serializers.DateTimeField(allow_null=True)
    hands = serializers.IntegerField()
    commission = serializers.CharField()
    commission_title = serializers.CharField()
    place = serializers.CharField()


class BenchOut(serializers.Serializer):
    """The bench: stages to do, under way and waiting, and windows that must not be missed."""

    now = serializers.DateTimeField()
    air = AirNowOut(many=True)
    jobs = JobOut(many=True, help_text="Everything to do, the most pressing first.")
    hands_at = serializers.DateTimeField(allow_null=True, help_text="When a wait next lets a stage begin.")
    promises = PromiseOut(many=True)
    dates = DateOut(many=True, help_text="Outside the shop, of the next three weeks.")
    to_approve = ToApproveOut(many=True)
    with_clients = QuoteOutOut(many=True, help_text="For the owner.")
    can_do = CanDoOut(many=True)
    office = OfficeCardOut(many=True, help_text="For the owner: quotes, invoices, payments.")
    further = serializers.IntegerField(
        help_text="pieces that nobody is at and nothing waits on, beyond those listed"
    )
    under_way = CardOut(many=True)
    waiting = WaitingOut(many=True)
    must_not_miss = WaitingOut(many=True)
    still_asked = StillAskedOut(many=True)
    reminders = ReminderOut(many=True)
    safety = SafetyTaskOut(many=True)


class KindOut(serializers.Serializer):
    """A kind of problem."""

    type = serializers.URLField()
    title = serializers.CharField()
    status = serializers.IntegerField()
    code = serializers.CharField()
