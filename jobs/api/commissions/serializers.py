"""Commissions, their price and their payments."""

from rest_framework import serializers

from jobs.api.clients.serializers import ClientOut
from jobs.api.commissions.money_serializers import LineIn, MoneyOut
from jobs.api.kit.fields import AmountOut, Exact, TextField, Whole
from jobs.api.kit.serializer_bases import LARGEST, CommandIn, PageIn, UnitsIn, done, page, seen_of
from jobs.api.papers.serializers import PaperOut
from jobs.api.pieces.serializers import PieceOut, WoodOut
from jobs.domain.billing.prices import MOST_LINES
from jobs.domain.commissions.commissions import (
    LONGEST_HEARD,
    LONGEST_SILENCE_D,
    LONGEST_TITLE,
    LONGEST_WISH,
)
from jobs.domain.lifecycle import BY_HAND
from jobs.log.projections.working_time import FIRMNESS
from jobs.models import Commission, Offer


class CommissionsIn(PageIn):
    """The commissions to list."""

    step = serializers.ChoiceField(Commission.Step.values, required=False)
    live = serializers.BooleanField(
        required=False, help_text="Only those that are not ended, or only ended ones."
    )
    client = Whole(required=False, min_value=0, max_value=LARGEST)


class _Written(CommandIn, UnitsIn):
    """The texts and days of a commission that may be written at any time."""

    notes = TextField(20_000)
    asks_for = TextField(LONGEST_WISH, help_text="What the client asks for, in words.")
    budget = Exact(
        max_digits=12,
        decimal_places=2,
        required=False,
        allow_null=True,
        help_text="What they want to spend, in the currency of the shop.",
    )
    wanted_on = serializers.DateField(
        required=False, allow_null=True, help_text="When they want it; no promise."
    )
    heard = TextField(LONGEST_HEARD, help_text="How they heard of the shop.")
    promise_on = serializers.DateField(required=False, allow_null=True)


class CommissionChangeIn(_Written):
    """Title, notes, enquiry, promise date, days without news to the client; what is not given stays."""

    title = serializers.CharField(required=False, max_length=LONGEST_TITLE)
    tell_days = Whole(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=LONGEST_SILENCE_D,
        help_text="Days without news for the client until you are reminded; 0 never, null as usual here.",
    )


class CommissionIn(_Written):
    """An enquiry taken down."""

    seen_version = seen_of("the client")
    client = Whole(min_value=0, max_value=LARGEST)
    title = serializers.CharField(
        required=False,
        allow_blank=True,
        max_length=LONGEST_TITLE,
        help_text="Without one: the first words of what they ask for.",
    )


class MoveIn(CommandIn, UnitsIn):
    """Quoted, accepted, declined or cancelled; the other moves follow from stages."""

    to = serializers.ChoiceField(BY_HAND)
    reason = TextField(20_000)


class ReopenIn(CommandIn, UnitsIn):
    """A closed commission opened again."""

    reason = serializers.CharField(max_length=20_000)


class TakeBackIn(CommandIn, UnitsIn):
    """An acceptance taken back, while nothing rests on it."""

    reason = TextField(20_000)


class PriceIn(CommandIn, UnitsIn):
    """The price that the client pays, line by line; it replaces the earlier lines."""

    lines = LineIn(many=True, max_length=MOST_LINES)


class AcceptOrderIn(CommandIn, UnitsIn):
    """An order accepted without a quote. Price and promised day are needed where there are none yet."""

    price = Exact(
        max_digits=12,
        decimal_places=2,
        required=False,
        help_text="Before tax, as one line at the shop's tax.",
    )
    lines = LineIn(many=True, required=False, max_length=MOST_LINES)
    promise_on = serializers.DateField(required=False)
    deposit_pct = Exact(
        max_digits=6, decimal_places=3, required=False, help_text="Of the price, to be invoiced at once."
    )
    deposit = Exact(max_digits=12, decimal_places=2, required=False, help_text="The same as a sum, with tax.")
    reason = TextField(20_000)


class ClientNameOut(serializers.Serializer):
    """The client who ordered."""

    id = serializers.IntegerField()
    name = serializers.CharField()


class _HeadOut(serializers.Serializer):
    number = serializers.CharField()
    title = serializers.CharField()
    step = serializers.ChoiceField(Commission.Step.values)
    step_at = serializers.DateTimeField()
    wanted_on = serializers.DateField(allow_null=True)
    promise_on = serializers.DateField(allow_null=True)
    firmness = serializers.ChoiceField(list(FIRMNESS.values()), help_text="How firm the promised day is.")
    tell_days = serializers.IntegerField(allow_null=True)
    opened_at = serializers.DateTimeField()
    version = serializers.IntegerField()


class CommissionRowOut(_HeadOut):
    """A commission in a line: where it stands and what comes next."""

    client = ClientNameOut()
    pieces = serializers.IntegerField()
    stages = serializers.IntegerField()
    stages_done = serializers.IntegerField()
    next = serializers.ListField(child=serializers.CharField(), help_text="What to do, first things first.")
    waiting = serializers.CharField(allow_blank=True, help_text="The running wait that ends first.")
    expected_on = serializers.DateField(
        allow_null=True, help_text="The soonest day that drying and resting allow, where that is late."
    )
    piece = serializers.CharField(allow_blank=True, help_text="Its first piece.")
    wood = WoodOut(allow_null=True, help_text="Of its first piece.")


class OfficeOut(serializers.Serializer):
    """The next task of the office, and the quote or the invoice that it is about."""

    do = serializers.CharField()
    offer = serializers.CharField(allow_blank=True)
    paper = serializers.CharField(allow_blank=True)


class QuoteStateOut(serializers.Serializer):
    """How the newest quote stands with the client."""

    offer = serializers.CharField()
    version = serializers.IntegerField()
    standing = serializers.ChoiceField(Offer.Step.values)
    do = serializers.CharField(help_text="What comes next about it.")
    valid_until = serializers.DateField(allow_null=True)
    sent_at = serializers.DateTimeField(allow_null=True, help_text="When it was last sent.")
    opened_at = serializers.DateTimeField(allow_null=True, help_text="When the client first opened it.")
    ask_on = serializers.DateField(allow_null=True, help_text="When to ask again.")


class ReadyOut(serializers.Serializer):
    """The promised day, and the soonest that drying and resting allow; work at the bench adds to it."""

    promised = serializers.DateField(allow_null=True)
    soonest = serializers.DateField(
        allow_null=True, help_text="Null before the order and once nothing is ahead."
    )
    days_in_hand = serializers.IntegerField(allow_null=True, help_text="Negative where it is late.")
    days_late = serializers.IntegerField()
    is_late = serializers.BooleanField()
    held_by = serializers.CharField(allow_blank=True, help_text="The longest wait on the way to it.")
    steps_left = serializers.IntegerField()


class CommissionOut(_HeadOut):
    """A commission with its pieces, routes and papers; ``money`` is null for who may not see it."""

    notes = serializers.CharField()
    asks_for = serializers.CharField()
    budget = AmountOut(allow_null=True, help_text="For the owner.")
    budget_currency = serializers.CharField()
    heard = serializers.CharField()
    reason = serializers.CharField()
    moves = serializers.ListField(child=serializers.CharField())
    client = ClientOut()
    pieces = PieceOut(many=True)
    papers = PaperOut(many=True)
    ready = ReadyOut()
    office = OfficeOut(many=True, help_text="For the owner: what comes next besides the stages.")
    quote = QuoteStateOut(allow_null=True, help_text="For the owner.")
    money = MoneyOut(allow_null=True)


CommissionPage = page("CommissionPage", CommissionRowOut(many=True))
CommissionDone = done("CommissionDone", commission=CommissionOut(allow_null=True))
