"""Papers."""

from rest_framework import serializers

from jobs.api.kit.fields import AmountOut, Exact, TextField, Whole
from jobs.api.kit.serializer_bases import CommandIn, PageIn, UnitsIn, done, page, seen_of
from jobs.api.kit.shapes import Shape
from jobs.domain.billing.sending import WAYS
from jobs.domain.papers.kinds import paper_kinds

KINDS = [kind.key for kind in paper_kinds()]


class PapersIn(PageIn):
    """The papers to list."""

    kind = serializers.ChoiceField(KINDS, required=False)
    commission = serializers.CharField(required=False, max_length=20)


class IssueIn(CommandIn, UnitsIn):
    """A paper is issued."""

    seen_version = seen_of("the commission")


class InvoiceIn(IssueIn):
    """An invoice is issued."""

    due_on = serializers.DateField(required=False)
    supplied_on = serializers.DateField(
        required=False, help_text="The day of delivery, where it is not the one on record."
    )
    send = serializers.ChoiceField(WAYS, required=False, help_text="How the client gets it.")
    to = TextField(254, help_text="The address of the mail; else the one that is known.")


class SendIn(CommandIn):
    """A paper goes to the client."""

    seen_version = seen_of("the commission it is a paper of")
    how = serializers.ChoiceField(WAYS, required=False, help_text="By mail where nothing is said.")
    to = TextField(254, help_text="The address of the mail; else the one that is known.")


class RemindIn(CommandIn):
    """A client is reminded of an open invoice by mail."""

    seen_version = seen_of("the commission it is a paper of")
    words = TextField(4000, help_text="The words of the mail; else the usual ones.")
    to = TextField(254, help_text="The address of the mail; else the one that is known.")


class WithdrawIn(CommandIn):
    """A paper is withdrawn."""

    seen_version = seen_of("the commission it is a paper of")
    reason = serializers.CharField(max_length=20_000)


class CreditLineIn(Shape):
    """A line of the invoice that is credited."""

    line = Whole(min_value=1, help_text="Its place on the invoice, from 1.")
    quantity = Exact(
        max_digits=12, decimal_places=3, required=False, help_text="How many of it; else all that is left."
    )


class CreditIn(WithdrawIn):
    """An invoice is credited: all that is left of it, unless lines or a sum are given."""

    lines = CreditLineIn(many=True, required=False)
    amount = Exact(
        max_digits=14, decimal_places=2, required=False,
        help_text="A sum with tax; it falls on the tax rates as what is left of the invoice does.",
    )  # fmt: skip


class TaxOut(serializers.Serializer):
    """The tax of one category and rate."""

    category = serializers.CharField()
    rate_pct = AmountOut()
    taxable = AmountOut()
    tax = AmountOut()


class InvoiceOut(serializers.Serializer):
    """The sums of an invoice."""

    currency = serializers.CharField()
    net = AmountOut()
    tax = AmountOut()
    total = AmountOut()
    paid_before = AmountOut()
    due = AmountOut()
    due_on = serializers.DateField()
    reference = serializers.CharField(
        help_text="ISO 11649 reference of a transfer; papers may be searched by it."
    )
    credited = AmountOut(help_text="What credit notes took off it.")
    open = AmountOut(help_text="Still to be paid; 0.00 where it is paid or credited.")
    paid_on = serializers.DateField(allow_null=True, help_text="The day it was paid in full.")
    state = serializers.CharField(help_text="open, late, paid or credited; empty for a credit note.")
    days_late = serializers.IntegerField()
    taxes = TaxOut(many=True)


class SentOut(serializers.Serializer):
    """How a paper last went to the client."""

    at = serializers.DateTimeField()
    by_mail = serializers.BooleanField(help_text="False where it was handed over.")
    opened_at = serializers.DateTimeField(allow_null=True)
    trouble = serializers.CharField(help_text="Why the mail did not arrive; else empty.")


class PaperOut(serializers.Serializer):
    """An issued paper."""

    number = serializers.CharField()
    kind = serializers.ChoiceField(KINDS)
    commission = serializers.CharField()
    version = serializers.IntegerField(help_text="Of its commission.")
    issued_at = serializers.DateTimeField()
    size = serializers.CharField()
    standing = serializers.CharField(
        help_text="being prepared, issued, withdrawn, credited, void, or forgotten"
    )
    credits = serializers.CharField(help_text="The invoice that a credit note takes back, or a part of it.")
    what = serializers.CharField(
        help_text="deposit, for an invoice of a part asked beforehand; part, for a credit note that leaves "
        "its invoice in force; else empty."
    )
    has_file = serializers.BooleanField()
    answer = serializers.CharField(
        help_text="How a quote or change order stands: issued, accepted, declined, expired or superseded."
    )
    stale = serializers.BooleanField(help_text="A job sheet whose pieces were changed since it was issued.")
    sha256 = serializers.CharField(help_text="Of the file; empty while it is being prepared.")
    sent = SentOut(allow_null=True, help_text="Null while the client has not got it.")
    reminded_at = serializers.DateTimeField(allow_null=True)
    invoice = InvoiceOut(allow_null=True)


class PaperContentOut(PaperOut):
    """An issued paper with what it says, frozen when it was issued."""

    content = serializers.DictField()


PaperPage = page("PaperPage", PaperOut(many=True))
PaperDone = done("PaperDone", paper=PaperOut(allow_null=True))
