"""Money that clients owe, money given back, receipts and statements."""

from rest_framework import serializers

from jobs.api.commissions.serializers import ClientNameOut
from jobs.api.kit.fields import AmountOut, Exact, TextField
from jobs.api.kit.serializer_bases import CommandIn, UnitsIn, seen_of
from jobs.domain.billing.sending import WAYS


class RepaymentIn(CommandIn, UnitsIn):
    """Money given back."""

    amount = Exact(max_digits=14, decimal_places=2, help_text="Above nothing.")
    received_on = serializers.DateField(required=False, help_text="The day it was given back.")
    reason = serializers.CharField(max_length=1000)


class VoidIn(CommandIn, UnitsIn):
    """A payment that was mistyped."""

    seen_version = seen_of("the commission of the payment")
    reason = TextField(1000)


class ReceiptIn(CommandIn):
    """A receipt is issued."""

    seen_version = seen_of("the commission of the payment")
    send = serializers.ChoiceField(WAYS, required=False, help_text="How the client gets it.")
    to = TextField(254, help_text="The address of the mail; else the one that is known.")


class StatementIn(CommandIn):
    """A statement of account is issued."""

    seen_version = seen_of("the client")


class AgeOut(serializers.Serializer):
    """The amount that is open for so many days after it was due."""

    age = serializers.CharField()
    amount = AmountOut()


class OpenOut(serializers.Serializer):
    """An open invoice."""

    paper = serializers.CharField()
    commission = serializers.CharField()
    client = ClientNameOut()
    currency = serializers.CharField()
    total = AmountOut()
    open = AmountOut()
    due_on = serializers.DateField()
    days_late = serializers.IntegerField()
    age = serializers.CharField()


class OwingOut(serializers.Serializer):
    """The debt of one client, by age."""

    client = ClientNameOut()
    ages = AgeOut(many=True)
    open = AmountOut()


class AgedOut(serializers.Serializer):
    """The debts in one currency, by age."""

    currency = serializers.CharField()
    clients = OwingOut(many=True)
    ages = AgeOut(many=True)
    open = AmountOut()


class ReceivablesOut(serializers.Serializer):
    """The debts of all clients."""

    today = serializers.DateField()
    columns = serializers.ListField(child=serializers.CharField())
    invoices = OpenOut(many=True)
    accounts = AgedOut(many=True)
