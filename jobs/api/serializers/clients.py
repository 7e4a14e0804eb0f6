"""Clients."""

from rest_framework import serializers

from jobs.api.serializers.bases import CommandIn, done, page
from jobs.api.serializers.fields import TextField


class ClientChangeIn(CommandIn):
    """What is known of a client; what is not given stays."""

    name = serializers.CharField(required=False, max_length=200)
    email = TextField(254)
    phone = TextField(60)
    address = TextField(1000)
    postcode = TextField(20)
    city = TextField(100)
    country = TextField(2, help_text="Two letters of ISO 3166-1.")
    tax_id = TextField(60)
    exempt = TextField(500, help_text="Why no tax is charged; empty where it is.")


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
    added_at = serializers.DateTimeField()
    version = serializers.IntegerField()


ClientPage = page("ClientPage", ClientOut(many=True))
ClientDone = done("ClientDone", client=ClientOut(allow_null=True))
