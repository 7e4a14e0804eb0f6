"""A client's yes, and what is kept of it."""

from rest_framework import serializers

from jobs.api.kit.fields import AmountOut, TextField, Whole
from jobs.api.kit.serializer_bases import CommandIn, seen_of
from jobs.api.notes.serializers import PictureField
from jobs.domain.quoting.acceptance import LONGEST_NAME
from jobs.domain.quoting.accepted import HOWS
from jobs.domain.quoting.draft_content import MOST_ALTERNATIVES


class AcceptIn(CommandIn):
    """The client's yes, told to the shop."""

    seen_version = seen_of("the commission")
    version = Whole(min_value=1, max_value=100_000, help_text="That was shown.")
    chosen = serializers.ListField(
        child=Whole(min_value=1, max_value=MOST_ALTERNATIVES), required=False,
        max_length=MOST_ALTERNATIVES, help_text="Positions of the alternatives.",
    )  # fmt: skip
    name = TextField(LONGEST_NAME)
    how = serializers.ChoiceField(HOWS, required=False, help_text="How the yes came; else told in words.")
    picture = PictureField(required=False, help_text="Base64; the signed copy, made small.")


class SignedCopyIn(CommandIn):
    """A picture of the signed copy."""

    seen_version = seen_of("the commission")
    version = Whole(min_value=1, max_value=100_000, help_text="That was accepted.")
    picture = PictureField(help_text="Base64; it is made small and loses everything but what is seen.")


class DrawingNamedOut(serializers.Serializer):
    """A drawing that a paper names."""

    number = serializers.CharField()
    revision = serializers.IntegerField()
    label = serializers.CharField()


class AcceptanceOut(serializers.Serializer):
    """What is kept of the client's yes."""

    accepted_at = serializers.DateTimeField()
    accepted_by = serializers.CharField()
    how = serializers.CharField(help_text="page, told, written or signed; empty for an old one")
    paper = serializers.CharField()
    sha256 = serializers.CharField(help_text="Of the PDF that was shown; its bytes never change.")
    total = AmountOut(allow_null=True, help_text="Agreed to, with tax; of a change order the new price.")
    deposit = AmountOut(allow_null=True)
    chosen = serializers.ListField(child=serializers.CharField(), help_text="The choices in words.")
    drawings = DrawingNamedOut(many=True)
    signed_copy = serializers.IntegerField(allow_null=True, help_text="The picture of the signed copy.")
