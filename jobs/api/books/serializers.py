"""What was bought, and what commissions cost and earned."""

from rest_framework import serializers

from jobs.api.kit.fields import AmountOut, Exact, TextField
from jobs.api.kit.serializer_bases import CommandIn, done, seen_of
from jobs.api.notes.serializers import PictureField
from jobs.domain.books.costs import LONGEST
from jobs.domain.books.quoted import KINDS
from jobs.models import Cost

NET = {"max_digits": 14, "decimal_places": 2}


class CostIn(CommandIn):
    """Something bought for a commission."""

    what = serializers.CharField(max_length=LONGEST)
    net = Exact(**NET, help_text="Without tax; negative for what came back.")
    tax = Exact(**NET, required=False, help_text="The tax paid on it.")
    kind = serializers.ChoiceField(Cost.Kind.values, required=False)
    supplier = TextField(LONGEST)
    day = serializers.DateField(required=False, help_text="The day of the bill, if not today.")
    picture = PictureField(required=False, help_text="The receipt, base64; it is made small.")


class CostCorrectionIn(CommandIn):
    """A mistyped cost corrected; what is not given stays as it was."""

    seen_version = seen_of("the commission of the cost")
    what = serializers.CharField(max_length=LONGEST, required=False)
    net = Exact(**NET, required=False)
    tax = Exact(**NET, required=False)
    kind = serializers.ChoiceField(Cost.Kind.values, required=False)
    supplier = TextField(LONGEST)
    day = serializers.DateField(required=False)
    reason = TextField(1000)


class CostVoidIn(CommandIn):
    """A cost that was mistyped."""

    seen_version = seen_of("the commission of the cost")
    reason = TextField(1000)


class CostOut(serializers.Serializer):
    """Something that was bought."""

    id = serializers.IntegerField()
    kind = serializers.ChoiceField(Cost.Kind.values)
    what = serializers.CharField()
    supplier = serializers.CharField()
    day = serializers.DateField()
    net = AmountOut()
    tax = AmountOut()
    currency = serializers.CharField()
    has_picture = serializers.BooleanField()
    voided_at = serializers.DateTimeField(allow_null=True)
    void_reason = serializers.CharField()


class CostRowOut(serializers.Serializer):
    """Quoted and actual costs of one kind; null where nothing is known."""

    kind = serializers.ChoiceField(KINDS)
    quoted = AmountOut(allow_null=True)
    actual = AmountOut(allow_null=True)
    difference = AmountOut(allow_null=True)


class CostLineOut(serializers.Serializer):
    """One cost: a board, a supply, something bought, hours; ``amount`` is null where nothing says it."""

    kind = serializers.ChoiceField(KINDS)
    what = serializers.CharField()
    amount = AmountOut(allow_null=True)
    why = serializers.CharField()
    cost = serializers.IntegerField(allow_null=True, help_text="The id of a cost that was typed.")


class CostSheetOut(serializers.Serializer):
    """All that a commission cost and brought, without tax."""

    commission = serializers.CharField()
    currency = serializers.CharField()
    rows = CostRowOut(many=True)
    lines = CostLineOut(many=True)
    unknown = serializers.ListField(child=serializers.CharField(), help_text="Not known, so not counted.")
    quoted = AmountOut(allow_null=True)
    costs = AmountOut()
    income = AmountOut(allow_null=True)
    is_agreed = serializers.BooleanField(
        help_text="Whether the income is the agreed price, as nothing or only a deposit is invoiced."
    )
    profit = AmountOut(allow_null=True)
    minutes = serializers.IntegerField()
    an_hour = AmountOut(allow_null=True, help_text="Profit by the hour worked.")
    bought = CostOut(many=True)


class TaxRowOut(serializers.Serializer):
    """Base and tax at one rate of one category."""

    category = serializers.CharField()
    rate_pct = AmountOut()
    base = AmountOut()
    tax = AmountOut()


class TaxAccountOut(serializers.Serializer):
    """The sums of one currency."""

    currency = serializers.CharField()
    rows = TaxRowOut(many=True)
    base = AmountOut()
    tax = AmountOut()
    not_invoiced = AmountOut(help_text="By payment: what came that no invoice asks for yet.")
    bought = AmountOut()
    tax_paid = AmountOut(help_text="The tax on what was bought for commissions.")
    to_pay = AmountOut(help_text="Tax less the tax paid.")


class TaxSummaryOut(serializers.Serializer):
    """Base and tax of a period, deposits and credit notes included."""

    period = serializers.CharField()
    first = serializers.DateField()
    last = serializers.DateField()
    basis = serializers.ChoiceField(("invoice", "payment"))
    tax_name = serializers.CharField()
    accounts = TaxAccountOut(many=True)


class ProfitSumsOut(serializers.Serializer):
    """Sums of some orders."""

    orders = serializers.IntegerField()
    income = AmountOut()
    costs = AmountOut()
    profit = AmountOut()
    minutes = serializers.IntegerField()
    an_hour = AmountOut(allow_null=True)
    not_whole = serializers.IntegerField(help_text="Orders with costs that are not known.")


class ProfitMonthOut(ProfitSumsOut):
    """The orders invoiced in one month."""

    month = serializers.IntegerField()


class ProfitOrderOut(ProfitMonthOut):
    """One order."""

    commission = serializers.CharField()
    title = serializers.CharField()
    client = serializers.CharField()
    unknown = serializers.ListField(child=serializers.CharField())


class ProfitAccountOut(ProfitSumsOut):
    """A year in one currency."""

    currency = serializers.CharField()
    before = ProfitSumsOut(help_text="The year before.")
    months = ProfitMonthOut(many=True)
    commissions = ProfitOrderOut(many=True)


class ProfitOut(serializers.Serializer):
    """Profit of a year, without tax; an order counts, whole, in the month of its invoice."""

    year = serializers.IntegerField()
    accounts = ProfitAccountOut(many=True)


CostsDone = done("CostsDone", costs=CostSheetOut(allow_null=True))
