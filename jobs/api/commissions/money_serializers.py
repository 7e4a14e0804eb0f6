"""Lines of a price, payments, and the money of a commission."""

from rest_framework import serializers

from jobs.api.kit.fields import AmountOut, Exact, TextField
from jobs.api.kit.serializer_bases import CommandIn, UnitsIn, seen_of
from jobs.api.kit.shapes import Shape
from jobs.domain.billing.payments import METHODS, WHATS
from jobs.domain.billing.prices import UNIT_CODES
from jobs.domain.billing.sending import WAYS
from jobs.domain.billing.taxes import TAX_CATEGORIES

CATEGORY_WORDS = ", ".join(f"{key} {words}" for key, words in TAX_CATEGORIES.items())


class LineIn(Shape):
    """One line of a price. Without ``tax_pct`` a taxed line takes the shop's."""

    description = serializers.CharField(max_length=4000)
    unit_price = Exact(max_digits=12, decimal_places=4)
    quantity = Exact(max_digits=12, decimal_places=3, required=False)
    unit_code = serializers.ChoiceField(tuple(UNIT_CODES), required=False)
    tax_category = serializers.ChoiceField(
        tuple(TAX_CATEGORIES), required=False, help_text=f"UNCL5305: {CATEGORY_WORDS}."
    )
    tax_pct = Exact(max_digits=6, decimal_places=3, required=False)
    with_tax = serializers.BooleanField(
        required=False,
        help_text="Whether the unit price holds the tax; else as in the order, or as the shop types prices.",
    )


class ShareIn(Shape):
    """The share of a payment that is meant for one invoice."""

    paper = serializers.CharField(max_length=30)
    amount = Exact(max_digits=14, decimal_places=2)


class _MoneyIn(CommandIn, UnitsIn):
    """Money that came, and how."""

    received_on = serializers.DateField(required=False)
    what = serializers.ChoiceField(WHATS, required=False)
    method = serializers.ChoiceField(("", *METHODS), required=False, help_text="How it came.")
    note = TextField(1000)
    allocated = ShareIn(many=True, required=False, help_text="Which invoices it pays; the rest the oldest.")
    again = serializers.BooleanField(required=False, help_text="The same sum of the same day came twice.")
    more_than_owed = serializers.BooleanField(required=False, help_text="More came than is owed.")
    receipt = serializers.BooleanField(required=False, help_text="Issue its receipt at once.")
    send = serializers.ChoiceField(WAYS, required=False, help_text="How the client gets the receipt.")
    to = TextField(254, help_text="The address of that mail; else the one that is known.")


class PaymentIn(_MoneyIn):
    """Money received."""

    amount = Exact(max_digits=14, decimal_places=2)


class CorrectionIn(_MoneyIn):
    """A mistyped payment corrected; what is not given stays as it was."""

    seen_version = seen_of("the commission of the payment")
    amount = Exact(max_digits=14, decimal_places=2, required=False)
    reason = TextField(1000)


class LineOut(serializers.Serializer):
    """A line of the price, before tax, and as it was typed."""

    description = serializers.CharField()
    quantity = AmountOut()
    unit_code = serializers.CharField()
    unit = serializers.CharField()
    unit_price = AmountOut()
    tax_category = serializers.CharField()
    tax_pct = AmountOut()
    amount = AmountOut()
    with_tax = serializers.BooleanField(help_text="Whether the price was typed with its tax.")
    typed_price = AmountOut(help_text="The unit price as it was typed.")
    typed_amount = AmountOut(help_text="The amount at the price as it was typed.")


class PriceOut(serializers.Serializer):
    """The agreed price."""

    lines = LineOut(many=True)
    net = AmountOut(allow_null=True)
    tax = AmountOut(allow_null=True)
    total = AmountOut(allow_null=True)


class ShareOut(serializers.Serializer):
    """The share of a payment that pays one invoice, as things stand."""

    paper = serializers.CharField()
    amount = AmountOut()


class PaymentOut(serializers.Serializer):
    """Money received, or given back: then the amount is negative."""

    id = serializers.IntegerField()
    amount = AmountOut()
    currency = serializers.CharField()
    received_on = serializers.DateField()
    what = serializers.CharField()
    method = serializers.CharField(help_text="How it came: cash, check, transfer, card, other, or empty.")
    note = serializers.CharField()
    pays = ShareOut(many=True)
    voided_at = serializers.DateTimeField(allow_null=True, help_text="Null while it counts.")
    voided_by = serializers.CharField(allow_blank=True)
    void_reason = serializers.CharField(allow_blank=True)


class SummaryOut(serializers.Serializer):
    """The money of an order in one block: the figures of its papers and pages."""

    agreed = AmountOut(allow_null=True, help_text="With tax and all accepted changes; null before a price.")
    changed = AmountOut(help_text="What of it accepted change orders added; negative where they took off.")
    invoiced = AmountOut(allow_null=True, help_text="All invoices as issued; null before the first.")
    credited = AmountOut(help_text="All credit notes.")
    paid = AmountOut(help_text="Received, less what was given back.")
    open = AmountOut(help_text="Invoiced, not credited, not paid: to pay now.")
    deposit_open = AmountOut(help_text="Of the deposit invoices.")
    to_come = AmountOut(help_text="Agreed and not invoiced yet; nothing once the whole is invoiced.")
    left = AmountOut(allow_null=True, help_text="Still to pay on this order, invoiced or not.")
    in_favor = AmountOut(help_text="Paid over all that is asked and to come.")
    late = AmountOut(help_text="What of the open sum is past its day.")
    days_late = serializers.IntegerField()
    state = serializers.CharField(help_text="late, open, paid, or empty")


class MoneyOut(serializers.Serializer):
    """Price, payments and what is owed; for the owner."""

    currency = serializers.CharField()
    price = PriceOut()
    deposit_asked = AmountOut(
        allow_null=True, help_text="What a first deposit of today's price would be, by the quoted share."
    )
    deposit_invoiced = ShareOut(many=True, help_text="The deposit invoices that hold, as issued.")
    payments = PaymentOut(many=True)
    summary = SummaryOut()
    free = AmountOut(help_text="What was received and no invoice needs: it may be given back.")
