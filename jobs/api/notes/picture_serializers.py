"""Pictures of a stage's work."""

from rest_framework import serializers

from jobs.api.kit.fields import TextField
from jobs.api.kit.serializer_bases import CommandIn, done
from jobs.api.kit.shapes import Shape
from jobs.api.notes.serializers import PictureField
from jobs.domain.notes.pictures import LONGEST_WORDS


class PictureIn(CommandIn):
    """A picture from the camera, and perhaps a line of words."""

    picture = PictureField(help_text="Base64; it is made small and loses everything but what is seen.")
    words = TextField(LONGEST_WORDS)


class PictureRemoveIn(CommandIn):
    """A picture is not shown again."""

    reason = TextField(20_000)


class SizeIn(Shape):
    """The size of the picture."""

    size = serializers.ChoiceField(("whole", "small"), required=False)


class PictureOut(serializers.Serializer):
    """The facts of a picture; the image itself is at ``pictures/ID/``."""

    id = serializers.IntegerField()
    commission = serializers.CharField()
    piece = serializers.CharField(allow_blank=True, help_text="Empty for a picture of what is asked for.")
    stage = serializers.CharField(allow_blank=True)
    words = serializers.CharField()
    taken_at = serializers.DateTimeField()
    taken_by = serializers.CharField()


PictureDone = done("PictureDone", picture=PictureOut(allow_null=True))
