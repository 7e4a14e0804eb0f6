"""The route of one piece, and the templates of the shop."""

from rest_framework import serializers

from jobs.api.kit.fields import Whole
from jobs.api.kit.serializer_bases import LARGEST, CommandIn, UnitsIn, done, seen_of
from jobs.api.kit.shapes import Shape
from jobs.domain.routes import MOST_STAGES
from jobs.domain.routes.schema import LONGEST_FILE
from jobs.domain.stages.route_edits import LONGEST_TITLE, PLACES


def _keys(what: str, **more: bool) -> serializers.ListField:
    return serializers.ListField(
        child=serializers.CharField(max_length=60), max_length=MOST_STAGES, help_text=what, **more
    )


class StageAddIn(CommandIn, UnitsIn):
    """A stage of the maker's own."""

    title = serializers.CharField(max_length=LONGEST_TITLE)
    after = _keys("Keys of the stages it comes after.")
    before = _keys("Keys of the stages that come after it.", required=False)
    place = serializers.ChoiceField(PLACES, required=False)


class StageMoveIn(CommandIn, UnitsIn):
    """The new predecessors of a planned stage."""

    after = _keys("Keys of the stages it comes after.")


class TemplateIn(CommandIn):
    """A route template, as the text of its file."""

    seen_version = seen_of("the template, 0 for a file or a new one,")
    text = serializers.CharField(max_length=LONGEST_FILE, trim_whitespace=False, help_text="TOML.")


class TemplateVersionOut(serializers.Serializer):
    """One version, by its number and when the shop set it; a file, version 0, has no time."""

    version = serializers.IntegerField()
    set_at = serializers.DateTimeField(allow_null=True)


class TemplateVersionIn(Shape):
    """The version to show."""

    version = Whole(required=False, min_value=0, max_value=LARGEST, help_text="The newest if not given.")


class TemplateOut(serializers.Serializer):
    """A route template with the text of one version; version 0 is the file it came with."""

    key = serializers.CharField()
    title = serializers.CharField()
    version = serializers.IntegerField()
    text = serializers.CharField()
    versions = TemplateVersionOut(many=True)


TemplateDone = done("TemplateDone", template=TemplateOut(allow_null=True))
