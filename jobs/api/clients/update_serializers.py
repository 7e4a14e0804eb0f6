"""News for a client, what clients ask, and the link to a client's page."""

from rest_framework import serializers

from jobs.api.kit.fields import TextField, Whole
from jobs.api.kit.serializer_bases import LARGEST, CommandIn, done
from jobs.domain.clients.updates import LONGEST_WORDS, MOST_OPEN, MOST_PICTURES
from jobs.models import Approval


def _keys(most: int, help_text: str) -> serializers.ListField:
    one = Whole(min_value=0, max_value=LARGEST)
    return serializers.ListField(child=one, required=False, max_length=most, help_text=help_text)


class UpdateIn(CommandIn):
    """News for the client of a commission: into the shop diary, and by mail where an address is known."""

    words = serializers.CharField(max_length=LONGEST_WORDS)
    pictures = _keys(MOST_PICTURES, "Pictures of the commission's pieces that the client is to see.")
    answers = _keys(MOST_OPEN, "Open questions of the client that this answers.")


class UpdateOut(serializers.Serializer):
    """News that a client was told."""

    id = serializers.IntegerField()
    words = serializers.CharField()
    pictures = serializers.ListField(child=serializers.IntegerField())
    told_at = serializers.DateTimeField()
    told_by = serializers.CharField()
    mail = serializers.ChoiceField(
        ("none", "waiting", "sent", "not sent", "unknown"),
        help_text="none: no address was known; not sent: it was refused and is not tried again.",
    )
    trouble = serializers.CharField(help_text="Why the mail did not go out so far, or empty.")


class DraftOut(serializers.Serializer):
    """News proposed from what happened since the client was last told."""

    words = serializers.CharField(allow_blank=True)


class SettleQuestionIn(CommandIn):
    """A question dealt with otherwise than by news."""

    how = TextField(LONGEST_WORDS)


class QuestionOut(serializers.Serializer):
    """A question of a client."""

    id = serializers.IntegerField()
    commission = serializers.CharField()
    words = serializers.CharField()
    asked_at = serializers.DateTimeField()
    settled_at = serializers.DateTimeField(allow_null=True)
    settled_by = serializers.CharField(allow_blank=True)
    how = serializers.CharField(allow_blank=True)
    answer = serializers.IntegerField(allow_null=True, help_text="The news that answered it.")


class AskApprovalIn(CommandIn):
    """What the client is asked to approve, by the numbers of pieces; words go to the client as news."""

    drawings = serializers.ListField(
        child=serializers.CharField(max_length=26), required=False, max_length=50
    )
    samples = serializers.ListField(child=serializers.CharField(max_length=26), required=False, max_length=50)
    words = TextField(LONGEST_WORDS, help_text="Empty: the client's page shows it, and no mail goes out.")


class ApprovalOut(serializers.Serializer):
    """A drawing or a sample that a client was asked to approve."""

    id = serializers.IntegerField()
    piece = serializers.CharField()
    what = serializers.ChoiceField(Approval.What.values)
    asked_at = serializers.DateTimeField()
    asked_by = serializers.CharField()
    approved_at = serializers.DateTimeField(allow_null=True)
    is_current = serializers.BooleanField(help_text="Whether the piece still is as it was shown.")
    mark = serializers.CharField(help_text="Hash of the facts that were shown.")


class OneLinkOut(serializers.Serializer):
    """A link that opens the client's page; ``mail`` names the mail that carries it, or is empty."""

    id = serializers.IntegerField()
    made_at = serializers.DateTimeField()
    made_by = serializers.CharField(allow_blank=True)
    mail = serializers.CharField(allow_blank=True)


class LinkOut(serializers.Serializer):
    """The link that was handed over, null where there is none, and all that open the page now."""

    made_at = serializers.DateTimeField(allow_null=True)
    made_by = serializers.CharField(allow_blank=True)
    links = OneLinkOut(many=True)


class NewLinkOut(LinkOut):
    """A link just made; it is shown this once."""

    url = serializers.URLField()


UpdateDone = done("UpdateDone", update=UpdateOut(allow_null=True))
ApprovalsDone = done("ApprovalsDone", approvals=ApprovalOut(many=True, allow_null=True))
QuestionDone = done("QuestionDone", question=QuestionOut(allow_null=True))
