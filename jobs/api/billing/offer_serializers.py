"""Quotes and change orders."""

from rest_framework import serializers

from jobs.api.billing.acceptance_serializers import AcceptanceOut
from jobs.api.commissions.money_serializers import LineIn, LineOut
from jobs.api.kit.fields import AmountOut, Exact, TextField, Whole
from jobs.api.kit.serializer_bases import CommandIn, UnitsIn, done, seen_of
from jobs.api.kit.shapes import Shape
from jobs.api.papers.serializers import IssueIn, TaxOut
from jobs.domain.billing.prices import MOST_LINES
from jobs.domain.billing.sending import WAYS
from jobs.domain.papers.sending import LONGEST_ADDRESS
from jobs.domain.quoting.draft_content import LONGEST_VALID_D, MOST_ALTERNATIVES
from jobs.domain.quoting.losses import BECAUSE
from jobs.models import Offer

LONGEST = 4000


class AlternativeIn(Shape):
    """A piece in one other species or with one other finish, or an option in words without a piece.

    What is not told of a piece is figured.
    """

    piece = TextField(26)
    species = TextField(80)
    finish = TextField(60, help_text="The key of its sheet.")
    description = TextField(LONGEST)
    difference = Exact(
        max_digits=12,
        decimal_places=2,
        required=False,
        help_text="In the price, with tax where the lines hold it; may be below 0.",
    )


class _WrittenIn(CommandIn, UnitsIn):
    seen_version = seen_of("the commission")
    lines = LineIn(many=True, required=False, max_length=MOST_LINES)
    words = TextField(LONGEST)
    terms = TextField(LONGEST, help_text="Empty: the shop's.")
    valid_days = Whole(required=False, min_value=1, max_value=LONGEST_VALID_D)
    promise_on = serializers.DateField(required=False, allow_null=True)


class QuoteReviseIn(_WrittenIn):
    """Changes of a version; fields not given stay."""

    alternatives = AlternativeIn(many=True, required=False, max_length=MOST_ALTERNATIVES)
    deposit_pct = Exact(max_digits=6, decimal_places=3, required=False)
    deposit_sum = Exact(
        max_digits=14, decimal_places=2, required=False, help_text="A sum with tax, in place of the share."
    )
    included = TextField(LONGEST, help_text="What is included, a line each; of a new quote else the shop's.")
    excluded = TextField(LONGEST, help_text="What is not, a line each; of a new quote else the shop's.")


class QuoteIn(QuoteReviseIn):
    """A quote; without lines they are proposed from the calculations and the shop's rates."""

    hours = serializers.DictField(
        child=Exact(max_digits=8, decimal_places=2), required=False,
        help_text="Hours of work by piece, in one sum; spread over the stages where three jobs know them.",
    )  # fmt: skip
    minutes = serializers.DictField(
        child=serializers.DictField(child=Exact(max_digits=8, decimal_places=2)), required=False,
        help_text="Instead of a sum: minutes by piece and kind of stage.",
    )  # fmt: skip
    own_hours = serializers.ListField(
        child=serializers.CharField(max_length=40), required=False, max_length=100,
        help_text="Pieces that take the shop's own rates (see hours/rates/) where no minutes are typed.",
    )  # fmt: skip


class ChangeReviseIn(_WrittenIn):
    """Changes of a change order; fields not given stay."""


class ChangeIn(_WrittenIn):
    """A change of what was agreed: in words, in price, in date."""

    words = serializers.CharField(max_length=LONGEST)


class OfferIssueIn(IssueIn):
    """A version is issued."""


class DeclineIn(CommandIn):
    """The client's no, told to the shop."""

    seen_version = seen_of("the commission")
    version = Whole(min_value=1, max_value=100_000, help_text="That was shown.")
    reason = TextField(LONGEST)
    because = serializers.ChoiceField(BECAUSE, required=False, help_text="Why, as it is counted.")


class OfferSendIn(CommandIn):
    """The newest version is sent; a draft is issued first."""

    seen_version = seen_of("the commission")
    to = TextField(LONGEST_ADDRESS, help_text="Empty: the client's address; else it is kept as the client's.")
    words = TextField(LONGEST)
    by_hand = serializers.BooleanField(required=False, help_text="It was handed over: no mail.")


class FollowUpIn(CommandIn):
    """The client is asked once more, by mail."""

    seen_version = seen_of("the commission")
    to = TextField(LONGEST_ADDRESS, help_text="Empty: the client's address; else it is kept as the client's.")
    words = serializers.CharField(max_length=LONGEST)


class LetGoIn(CommandIn):
    """A quote that lapsed or was declined is counted as lost."""

    seen_version = seen_of("the commission")
    because = serializers.ChoiceField(BECAUSE, required=False)
    reason = TextField(LONGEST)


class DepositIn(IssueIn):
    """A deposit invoice."""

    pct = Exact(
        max_digits=6, decimal_places=3, required=False,
        help_text="Of the price with tax; else as quoted, or the shop's.",
    )  # fmt: skip
    amount = Exact(
        max_digits=14, decimal_places=2, required=False, help_text="A sum with tax, in place of the share."
    )
    due_on = serializers.DateField(required=False)
    send = serializers.ChoiceField(WAYS, required=False, help_text="How the client gets it.")
    to = TextField(254, help_text="The address of the mail; else the one that is known.")


class AlternativeOut(serializers.Serializer):
    """An alternative, and the difference that it makes in the price."""

    position = serializers.IntegerField()
    piece = serializers.CharField()
    what = serializers.CharField()
    to = serializers.CharField()
    description = serializers.CharField()
    difference = AmountOut()
    with_tax = AmountOut()


class TakeUpIn(CommandIn):
    """A declined commission is taken up again."""

    seen_version = seen_of("the commission")


class SendingOut(serializers.Serializer):
    """One time that a paper was sent to its client."""

    id = serializers.IntegerField()
    occasion = serializers.CharField()
    by_mail = serializers.BooleanField()
    to = serializers.CharField()
    words = serializers.CharField()
    sent_at = serializers.DateTimeField()
    sent_by = serializers.CharField()
    opened_at = serializers.DateTimeField(
        allow_null=True, help_text="The client first opened the page by it."
    )
    mail = serializers.CharField(help_text="handed over, waiting, sent, not sent or unknown")
    trouble = serializers.CharField()


class AgreedOut(serializers.Serializer):
    """The sums of an accepted version, with the alternatives that were chosen."""

    currency = serializers.CharField()
    lines = LineOut(many=True)
    net = AmountOut()
    tax = AmountOut()
    total = AmountOut()
    totals = TaxOut(many=True)
    promise_on = serializers.DateField(allow_null=True)


class OfferOut(serializers.Serializer):
    """One version of a quote or change order."""

    number = serializers.CharField()
    version = serializers.IntegerField()
    kind = serializers.ChoiceField(Offer.Kind.values)
    commission = serializers.CharField()
    commission_version = serializers.IntegerField()
    standing = serializers.ChoiceField(Offer.Step.values)
    currency = serializers.CharField()
    lines = LineOut(many=True)
    with_tax = serializers.BooleanField(help_text="Whether its prices were typed with their tax.")
    alternatives = AlternativeOut(many=True)
    net = AmountOut()
    tax = AmountOut()
    total = AmountOut()
    totals = TaxOut(many=True)
    total_before = AmountOut(allow_null=True)
    total_after = AmountOut(allow_null=True)
    promised_before = serializers.DateField(allow_null=True)
    words = serializers.CharField()
    terms = serializers.CharField()
    included = serializers.CharField(help_text="A line each.")
    excluded = serializers.CharField(help_text="A line each.")
    promise_on = serializers.DateField(allow_null=True)
    deposit_pct = AmountOut()
    deposit_sum = AmountOut(allow_null=True, help_text="Where it is asked as a sum with tax.")
    deposit = AmountOut()
    valid_days = serializers.IntegerField()
    valid_until = serializers.DateField(allow_null=True)
    drafted_at = serializers.DateTimeField()
    issued_at = serializers.DateTimeField(allow_null=True)
    decided_at = serializers.DateTimeField(allow_null=True)
    decided_by = serializers.CharField()
    chosen = serializers.ListField(child=serializers.IntegerField())
    acceptance = AcceptanceOut(allow_null=True)
    agreed = AgreedOut(allow_null=True, help_text="Of an accepted version.")
    name = serializers.CharField()
    reason = serializers.CharField()
    because = serializers.CharField(help_text="Why it was lost, as it is counted.")
    sendings = SendingOut(many=True)
    paper = serializers.CharField(help_text="The number it was issued as.")
    basis = serializers.DictField(help_text="What the proposed lines rest on, and what is not in them.")


OfferDone = done("OfferDone", offer=OfferOut(allow_null=True))


class QuoteNowOut(serializers.Serializer):
    """A quote that is drafted, with its client, or lapsed without a word."""

    number = serializers.CharField()
    commission = serializers.CharField()
    title = serializers.CharField()
    client = serializers.CharField()
    total = AmountOut(allow_null=True)
    currency = serializers.CharField()
    standing = serializers.ChoiceField(Offer.Step.values)
    do = serializers.CharField(help_text="What comes next about it.")
    valid_until = serializers.DateField(allow_null=True)
    sent_at = serializers.DateTimeField(allow_null=True)
    opened_at = serializers.DateTimeField(allow_null=True)
    ask_on = serializers.DateField(allow_null=True)


class LostOut(serializers.Serializer):
    """How many quotes were lost for one reason."""

    because = serializers.CharField()
    count = serializers.IntegerField()


class QuoteYearOut(serializers.Serializer):
    """The quotes first issued in one year."""

    year = serializers.IntegerField()
    issued = serializers.IntegerField()
    out = serializers.IntegerField()
    won = serializers.IntegerField()
    lapsed = serializers.IntegerField()
    declined = serializers.IntegerField()
    because = LostOut(many=True)
    hit_pct = serializers.IntegerField(allow_null=True, help_text="Won of what was decided.")


class TallyOut(serializers.Serializer):
    """Quotes over all commissions: those that are out, and the counts by year."""

    out = QuoteNowOut(many=True)
    years = QuoteYearOut(many=True)
