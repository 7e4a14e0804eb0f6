"""Clients."""

from rest_framework import serializers

from jobs.api.kit.fields import TextField, Whole
from jobs.api.kit.serializer_bases import LARGEST, CommandIn, done, page


class ClientChangeIn(CommandIn):
    """Changes of a client's data; fields not given stay."""

    name = serializers.CharField(required=False, max_length=200)
    email = TextField(254)
    phone = TextField(60)
    address = TextField(1000)
    postcode = TextField(20)
    city = TextField(100)
    country = TextField(2, help_text="Two letters of ISO 3166-1.")
    tax_id = TextField(60)
    exempt = TextField(500, help_text="Why no tax is charged, such as a certificate; empty where it is.")
    exempt_state = TextField(60, help_text="The state whose certificate it is.")
    exempt_from = TextField(10, help_text="Its first day, such as 2026-02-01; may stay empty.")
    exempt_until = TextField(10, help_text="Its last day; from then on new lines are taxed again.")
    endpoint = TextField(
        200, help_text="Where invoices go as data, such as 0204:991-03730-19; the e-mail where it is empty."
    )
    buyer_reference = TextField(
        100, help_text="What the client asks invoices to name; a Leitweg-ID has to be right."
    )


class ClientIn(ClientChangeIn):
    """Somebody who orders."""

    name = serializers.CharField(max_length=200)


class ClientOut(serializers.Serializer):
    """A client."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    email = serializers.CharField()
    phone = serializers.CharField()
    address = serializers.CharField()
    postcode = serializers.CharField()
    city = serializers.CharField()
    country = serializers.CharField()
    tax_id = serializers.CharField()
    exempt = serializers.CharField()
    exempt_state = serializers.CharField()
    exempt_from = serializers.CharField()
    exempt_until = serializers.CharField()
    endpoint = serializers.CharField()
    buyer_reference = serializers.CharField()
    added_at = serializers.DateTimeField()
    version = serializers.IntegerField()


ClientPage = page("ClientPage", ClientOut(many=True))
ClientDone = done("ClientDone", client=ClientOut(allow_null=True))


class ForgetIn(CommandIn):
    """A client to be forgotten, for good."""

    confirm = serializers.CharField(
        max_length=200, help_text="Their name, or the number of a commission of theirs."
    )
    also = serializers.ListField(
        child=Whole(min_value=1, max_value=LARGEST),
        required=False, max_length=1000,
        help_text="Of ``elsewhere`` the events whose texts go too.",
    )  # fmt: skip


class HeldOut(serializers.Serializer):
    """A paper whose words the law holds, and its last day."""

    number = serializers.CharField()
    until = serializers.DateField()


class ElsewhereOut(serializers.Serializer):
    """An event that is not of this client, with texts that name them or were written at their piece."""

    seq = serializers.IntegerField()
    kind = serializers.CharField()
    stream = serializers.CharField()
    words = serializers.CharField()
    in_full = serializers.BooleanField(help_text="The whole name, an address or a number; else a word of it.")


class ForgetOut(serializers.Serializer):
    """The effect of forgetting a client: texts that go, texts that stay, and hindrances."""

    hindrances = serializers.ListField(
        child=serializers.CharField(), help_text="What has to be ended or paid first."
    )
    commissions = serializers.ListField(child=serializers.CharField())
    texts = serializers.IntegerField()
    pictures = serializers.IntegerField()
    papers = serializers.ListField(child=serializers.CharField(), help_text="Whose words go.")
    held = HeldOut(many=True)
    elsewhere = ElsewhereOut(many=True)
