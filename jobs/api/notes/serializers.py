"""Notes for next time."""

import base64
import binascii
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from jobs.api.kit.fields import TextField
from jobs.api.kit.serializer_bases import CommandIn, PageIn, done, page
from jobs.api.kit.shapes import Shape
from jobs.domain.notes.commands import LONGEST_WORDS
from jobs.domain.notes.images import MOST_BYTES
from jobs.domain.routes.note_rules import TAGS

LONGEST_PICTURE = 4 * -(-MOST_BYTES // 3)
"""A picture as base64 (RFC 4648): four characters for three bytes."""


@extend_schema_field({"type": "string", "contentEncoding": "base64", "maxLength": LONGEST_PICTURE})
class PictureField(serializers.Field[Any, Any, Any, Any]):
    """A JPEG, PNG or WebP picture as base64."""

    takes = f"a picture of up to {MOST_BYTES} bytes as base64"
    default_error_messages = {"invalid": "not base64.", "long": f"more than {MOST_BYTES} bytes."}

    def to_internal_value(self, data: Any) -> bytes:
        if not isinstance(data, str):
            self.fail("invalid")
        if len(data) > LONGEST_PICTURE:
            self.fail("long")
        try:
            picture = base64.b64decode(data, validate=True)
        except (binascii.Error, ValueError):
            self.fail("invalid")
        return picture

    def to_representation(self, value: Any) -> Any:
        return value


class RuleIn(Shape):
    """Stages of kind ``before`` come before those of kind ``than``; ``finishing`` is every coat."""

    before = serializers.CharField(max_length=60)
    than = serializers.CharField(max_length=60)


class NoteIn(CommandIn):
    """A note on a stage, for the next pieces that have the named tags alike."""

    words = serializers.CharField(max_length=LONGEST_WORDS)
    only_for = serializers.ListField(
        child=serializers.ChoiceField(tuple(TAGS)),
        required=False,
        max_length=len(TAGS),
        help_text="What a piece must have alike; empty: the note is for every piece with such a stage.",
    )
    picture = PictureField(
        required=False, help_text="Base64; it is made small and loses everything but what is seen."
    )
    rule = RuleIn(required=False)


class NotesIn(PageIn):
    """The notes to list."""

    retired = serializers.BooleanField(required=False, help_text="Those retired, or those that are not.")


class NoteDismissIn(CommandIn):
    """The note has been read for this piece."""


class NoteRetireIn(CommandIn):
    """The note comes back no more."""

    reason = TextField(20_000)


class RuleOut(serializers.Serializer):
    """A rule: one kind of stage comes before another."""

    before = serializers.CharField()
    than = serializers.CharField()


class NoteOut(serializers.Serializer):
    """A note for next time, with the pieces it came back on."""

    id = serializers.IntegerField()
    words = serializers.CharField()
    has_picture = serializers.BooleanField()
    kind = serializers.CharField(help_text="The kind of stage it is pinned to.")
    title = serializers.CharField()
    piece = serializers.CharField(help_text="Where it was written.")
    stage = serializers.CharField()
    only_for = serializers.DictField(child=serializers.CharField())
    rule = RuleOut(allow_null=True)
    written_at = serializers.DateTimeField()
    written_by = serializers.CharField()
    retired_at = serializers.DateTimeField(allow_null=True)
    retired_by = serializers.CharField()
    retired_reason = serializers.CharField()
    came_back = serializers.IntegerField(help_text="On how many pieces.")
    where = serializers.ListField(child=serializers.CharField())
    version = serializers.IntegerField()


class ShownNoteOut(NoteOut):
    """A note that is shown on a piece, at which of its stages."""

    shown_at = serializers.ListField(child=serializers.CharField())


NoteDone = done("NoteDone", note=NoteOut(allow_null=True))
NotePage = page("NotePage", NoteOut(many=True))
