"""The money of a commission: price, payments, what is owed."""

from rest_framework import serializers

from jobs.api.kit.fields import AmountOut


class LineOut(serializers.Serializer):
    """A line of the price."""

    description = serializers.CharField()
    quantity = AmountOut()
    unit_code = serializers.CharField()
    unit = serializers.CharField()
    unit_price = AmountOut()
    tax_category = serializers.CharField()
    tax_pct = AmountOut()
    amount = AmountOut()


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
    """Agreed, invoiced, paid and open in one block."""

    agreed = AmountOut(allow_null=True)
    invoiced = AmountOut(allow_null=True)
    paid = AmountOut()
    open = AmountOut(help_text="Of the invoices.")
    deposit_open = AmountOut(help_text="Of the deposit invoices.")
    to_come = AmountOut(help_text="Agreed and not invoiced yet.")
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
    invoiced = AmountOut(allow_null=True)
    received = AmountOut()
    owed = AmountOut(allow_null=True, help_text="Of the invoices.")
    left = AmountOut(
        allow_null=True, help_text="Still to be paid of the invoices, or of the agreed price if that is more."
    )
    to_come = AmountOut(help_text="What of the agreed price is not invoiced yet.")
    too_much = AmountOut(help_text="What was paid over the invoices and the price.")
    free = AmountOut()
