"""Pieces: what is asked, what was computed."""

from rest_framework import serializers

from calcs.drawing.woods import LOOKS
from jobs.api.kit.fields import AmountOut, LengthOut, TextField, Typed
from jobs.api.kit.serializer_bases import CommandIn, UnitsIn, done
from jobs.api.stages.serializers import StageOut
from jobs.api.stages.wait_serializers import WaitOut
from jobs.domain.pieces.extra_inputs import MASSES
from jobs.domain.pieces.inputs import CHOICES, COUNTS, LENGTHS, LONGEST_OWN_TITLE, MOST_OWN_STAGES
from jobs.domain.routes.schema import ONCE_PER

_PRODUCTS = {
    "glue": "A product by its key.",
    "finish_face": "A product by its key; else what is usual for the route.",
    "finish_under": "A product by its key; else that of the face.",
}


class PieceChangeIn(CommandIn, UnitsIn):
    """Changes of a piece; fields not given stay, an empty field goes back to its default.

    Lengths as text such as 6 13/32 or 812 mm, or a number in the unit that holds.
    """

    label = TextField(200)
    route = TextField(60)
    species = TextField(80)
    stiffeners = serializers.BooleanField(required=False)
    waste_pct = Typed(required=False)
    stages = serializers.ListField(
        child=serializers.CharField(max_length=LONGEST_OWN_TITLE),
        required=False,
        max_length=MOST_OWN_STAGES,
        help_text="The own list of stages, for a route that takes one.",
    )

    def get_fields(self) -> dict[str, serializers.Field]:
        lengths = {name: Typed(required=False) for name in LENGTHS}
        counts = {name: Typed(required=False) for name in (*COUNTS, "pegs", *MASSES)}
        choices = {
            name: serializers.ChoiceField(values, required=False, allow_blank=True)
            for name, values in CHOICES.items()
        }
        products = {name: TextField(60, help_text=says) for name, says in _PRODUCTS.items()}
        return {**super().get_fields(), **lengths, **counts, **choices, **products}


class PieceIn(PieceChangeIn):
    """A new piece; what is not given takes its default."""

    label = serializers.CharField(max_length=200)


class InputsOut(serializers.Serializer):
    """The inputs as asked, with defaults for the rest; ``typed`` has the lengths as they were typed."""

    typed = serializers.DictField(child=serializers.CharField())
    route = serializers.CharField()
    species = serializers.CharField(allow_null=True)
    stiffeners = serializers.BooleanField()
    waste_pct = AmountOut(allow_null=True)

    def get_fields(self) -> dict[str, serializers.Field]:
        lengths = {name: LengthOut(allow_null=True) for name in (*LENGTHS, "lost_width")}
        counts = {name: serializers.IntegerField() for name in COUNTS}
        counts["pegs"] = serializers.IntegerField(allow_null=True)
        masses = {f"{name}_kg": AmountOut(allow_null=True) for name in MASSES}
        texts = {name: serializers.CharField() for name in (*CHOICES, *_PRODUCTS)}
        return {**super().get_fields(), **lengths, **counts, **masses, **texts}


class ChangedOut(serializers.Serializer):
    """A figure that the last change changed."""

    calculation = serializers.CharField()
    figure = serializers.CharField()
    before = serializers.JSONField(help_text="Null where there was none.")
    after = serializers.JSONField(help_text="Null where there is none any more.")


class WarningOut(serializers.Serializer):
    """A place where the route goes against a rule of a note: ``stage`` does not wait for ``before``."""

    stage = serializers.CharField()
    before = serializers.CharField()
    note = serializers.IntegerField(allow_null=True, help_text="The note that taught it; null for the trade.")
    says = serializers.CharField()


class BlockerOut(serializers.Serializer):
    """Something to solve before the piece can be made."""

    calculation = serializers.CharField()
    says = serializers.CharField()
    ways = serializers.ListField(child=serializers.CharField(), help_text="Ways out, with their effect.")


class WoodOut(serializers.Serializer):
    """What a picture of a piece's wood is drawn by; null where the size of the piece is not known."""

    look = serializers.ChoiceField(sorted(LOOKS), help_text="Name of its look.")
    length = LengthOut()
    width = LengthOut()
    version = serializers.CharField(help_text="Changes with the drawing: pieces/NUMBER/wood.svg?v=VERSION.")


class PieceOut(serializers.Serializer):
    """A piece with its route. A calculation has inputs, result, notes and sources, or why it is refused."""

    number = serializers.CharField()
    label = serializers.CharField()
    quantity = serializers.IntegerField()
    inputs = InputsOut()
    computed = serializers.DictField(child=serializers.DictField())
    changed = ChangedOut(many=True)
    revision = serializers.IntegerField()
    wood = WoodOut(allow_null=True)
    route = serializers.CharField()
    route_edited = serializers.BooleanField(help_text="Changed by hand since it was laid.")
    version = serializers.IntegerField()
    stages = StageOut(many=True)
    waits = WaitOut(many=True)
    blockers = BlockerOut(many=True)
    warnings = WarningOut(many=True)
    next = serializers.ListField(child=serializers.CharField(), help_text="Stages to do next.")


class CardOut(serializers.Serializer):
    """A stage with the names one knows it by."""

    commission = serializers.CharField()
    commission_title = serializers.CharField()
    client = serializers.CharField()
    promise_on = serializers.DateField(allow_null=True)
    step = serializers.CharField(help_text="Of the commission: what is delivered is promised no longer.")
    piece = serializers.CharField()
    label = serializers.CharField()
    wood = WoodOut(allow_null=True)
    stage = serializers.CharField()
    title = serializers.CharField()
    do = serializers.CharField(help_text="What to do, verb first.")
    place = serializers.CharField()
    started_at = serializers.DateTimeField(allow_null=True)
    paused = serializers.BooleanField()
    once_per = serializers.ChoiceField(
        sorted(ONCE_PER), help_text="Where commission: for every piece that is ready, and listed once."
    )
    version = serializers.IntegerField()


class CanDoOut(CardOut):
    """A stage that can be started now; ``missed`` where a window has closed."""

    missed = serializers.BooleanField()


class WaitingOut(CardOut):
    """A stage that is waiting, and what is to be done after it."""

    wait = WaitOut()
    to_do = serializers.ListField(child=serializers.CharField())


class AskedGateOut(serializers.Serializer):
    """A gate that waits for its measurement."""

    key = serializers.CharField()
    title = serializers.CharField()


class StillAskedOut(CardOut):
    """A stage that left the hands before everything was measured."""

    gates = AskedGateOut(many=True)


PieceDone = done("PieceDone", piece=PieceOut(allow_null=True))
